"""Which accidentals a part meets, against the signature on its own page."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from planner.core.pitch import STEP_SEMITONES
from planner.core.profile import AccidentalUse, Statement
from planner.core.score import KeySignature, Note, Part, Score
from planner.study.notes.columns import Columns
from planner.study.page.signatures import signature_alters, signature_name
from planner.study.statements import bar_list, listed, spoken_pitch, times_word

MOST_LISTED = 8
"""Accidentals of one kind told in a sentence; more are counted. House choice: what a player can take in."""

TRAP_NAMES = frozenset({"E#", "B#", "Cb", "Fb"})
"""Spellings that sound as a natural note of another letter."""

NEAR_MEASURES = 1
"""How many bars back another spelling of the same pitch still confuses. House choice."""

Key = tuple[int, str, int]


@dataclass(frozen=True, slots=True)
class AccidentalStudy:
    """The accidentals of each part, in score order, and what to say of them."""

    by_part: tuple[tuple[AccidentalUse, ...], ...]
    statements: tuple[Statement, ...] = ()


def find_accidentals(columns: Columns) -> AccidentalStudy:
    """The written accidentals of every part.

    Example:
        >>> from planner.study.notes.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_accidentals(columns_of(Score("Empty", (), ()))).by_part
        ()
    """
    by_part, said = [], list[Statement]()
    for part in columns.parts:
        reading = _read_part(part.part)
        by_part.append(_uses(reading))
        if part.is_pitched:
            said += _statements(columns.score, part.part, reading)
    return AccidentalStudy(tuple(by_part), tuple(said))


@dataclass(slots=True)
class _Reading:
    """What a player keeps in mind while reading one part."""

    uses: dict[tuple[str, str], list[int]] = field(default_factory=dict)
    why: dict[tuple[str, str], str] = field(default_factory=dict)
    measure: int = -1
    in_force: dict[Key, int] = field(default_factory=dict)
    spelled: dict[int, tuple[str, int]] = field(default_factory=dict)

    def add(self, kind: str, pitch: str, measure: int, why: str = "") -> None:
        self.uses.setdefault((kind, pitch), []).append(measure)
        self.why.setdefault((kind, pitch), why)


def accidentals_of(part: Part) -> tuple[AccidentalUse, ...]:
    """The accidentals of one part, by kind and pitch name, in order of first appearance.

    ``first``: a note foreign to the signature, with how often it is struck. ``again``: it is altered
    a second time in a bar without a new sign. ``courtesy``: a sign that only reminds. ``enharmonic``:
    a spelling that sounds as another natural note, or another spelling of a pitch just played.

    Example:
        >>> accidentals_of(Part("P1", "Flute"))
        ()
    """
    return _uses(_read_part(part))


def _read_part(part: Part) -> _Reading:
    reading = _Reading()
    for note, alters in _with_signature(part):
        _read(reading, note, alters)
    return reading


def _uses(reading: _Reading) -> tuple[AccidentalUse, ...]:
    return tuple(
        AccidentalUse(measures[0], pitch, kind, len(measures), reading.why[kind, pitch])
        for (kind, pitch), measures in sorted(reading.uses.items(), key=lambda item: item[1][0])
    )


def _with_signature(part: Part) -> Iterator[tuple[Note, dict[str, int]]]:
    """Each note with a pitch beside what the signature in force on its staff alters."""
    keys = sorted(part.keys, key=lambda key: (key.measure, key.onset_quarters))
    alters: dict[int, dict[str, int]] = {}
    at = 0
    for note in part.notes:
        while at < len(keys) and _is_before(keys[at], note):
            changed = signature_alters(keys[at].fifths)
            for staff in [keys[at].staff] if part.staves > 1 else [1]:
                alters[staff] = changed
            at += 1
        if note.pitch is not None and not note.is_rest and not note.is_cue:
            yield note, alters.get(note.staff if part.staves > 1 else 1, {})


def _is_before(key: KeySignature, note: Note) -> bool:
    return (key.measure, key.onset_quarters) <= (note.measure, note.onset_quarters)


def _read(reading: _Reading, note: Note, alters: dict[str, int]) -> None:
    pitch = note.pitch
    assert pitch is not None
    if note.measure != reading.measure:
        reading.measure, reading.in_force = note.measure, {}
    if note.tie_from_previous or pitch.alter.denominator != 1:
        return
    step = pitch.step
    key = (note.staff, step, pitch.octave)
    alter, usual = pitch.alter.numerator, alters.get(step, 0)
    expected = reading.in_force.get(key, usual)
    name = _name(step, alter)
    if alter != usual:
        reading.add("first", name, note.measure)
        if expected == alter and not note.accidental and not note.is_grace:
            reading.add("again", name, note.measure)
    if note.accidental and (note.is_courtesy or expected == alter):
        reading.add("courtesy", name, note.measure)
    reading.in_force[key] = alter
    _look_for_traps(reading, name, alter, 12 * (pitch.octave + 1) + STEP_SEMITONES[step] + alter)


def _name(step: str, alter: int) -> str:
    return step + ("#" * alter if alter > 0 else "b" * -alter)


def _look_for_traps(reading: _Reading, name: str, alter: int, midi: int) -> None:
    before = reading.spelled.get(midi)
    if name in TRAP_NAMES or alter > 1 or alter < -1:
        why = f"sounds as {spoken_pitch(_plain_name(midi))}"
        reading.add("enharmonic", name, reading.measure, why)
    elif before and before[0] != name and reading.measure - before[1] <= NEAR_MEASURES:
        reading.add("enharmonic", name, reading.measure, f"is the {spoken_pitch(before[0])} just played")
    reading.spelled[midi] = (name, reading.measure)


def _plain_name(midi: int) -> str:
    return ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")[midi % 12]


def _statements(score: Score, part: Part, reading: _Reading) -> Iterator[Statement]:
    kinds: dict[str, list[tuple[str, list[int]]]] = {}
    for (kind, pitch), measures in sorted(reading.uses.items(), key=lambda item: item[1][0]):
        kinds.setdefault(kind, []).append((pitch, measures))
    if "first" in kinds:
        told = [
            f"{_with_natural(pitch)} first in bar {score.measure_number(at[0])} ({times_word(len(at))})"
            for pitch, at in kinds["first"]
        ]
        yield Statement("accidentals", f"Outside the signature: {_some(told)}.", part.name)
    elif len({key.fifths for key in part.keys}) <= 1:
        fifths = part.keys[0].fifths if part.keys else 0
        yield Statement(
            "accidentals", f"Every note is in the signature ({signature_name(fifths)}).", part.name
        )
    if "again" in kinds:
        told = [f"{_with_natural(pitch)} in {bar_list(score, at)}" for pitch, at in kinds["again"]]
        sentence = f"Still altered later in the same bar, without a new sign: {_some(told)}."
        yield Statement("accidentals", sentence, part.name)
    if "courtesy" in kinds:
        told = [f"{_with_natural(pitch)} in {bar_list(score, at)}" for pitch, at in kinds["courtesy"]]
        yield Statement("accidentals", f"Signs that only remind: {_some(told)}.", part.name)
    if "enharmonic" in kinds:
        told = [
            f"{spoken_pitch(pitch)} in bar {score.measure_number(at[0])} {reading.why['enharmonic', pitch]}"
            for pitch, at in kinds["enharmonic"]
        ]
        yield Statement("accidentals", f"Spelling: {_some(told)}.", part.name)


def _some(told: Sequence[str]) -> str:
    if len(told) <= MOST_LISTED:
        return listed(told)
    return f"{', '.join(told[:MOST_LISTED])} and {len(told) - MOST_LISTED} more"


def _with_natural(name: str) -> str:
    return spoken_pitch(name) if len(name) > 1 else f"{name}♮"
