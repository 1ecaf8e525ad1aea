"""Which accidentals a part meets, against the signature on its own page."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from planner.core.fact import Fact, FactKind, named
from planner.core.pitch import STEP_SEMITONES
from planner.core.profile import AccidentalKind, AccidentalUse
from planner.core.score import KeySignature, Note, Part
from planner.study.notes.columns import Columns
from planner.study.page.signatures import signature_alters

MOST_NOTES = 4
"""Notes of one kind that a fact names, those that come most often; the others are counted.

House choice: what a player can keep in mind.
"""

TRAP_NAMES = frozenset({"E#", "B#", "Cb", "Fb"})
"""Spellings that sound as a natural note of another letter."""

NEAR_MEASURES = 1
"""How many bars back another spelling of the same pitch still confuses. House choice."""

FACTS: Mapping[AccidentalKind, tuple[FactKind, float]] = {
    AccidentalKind.FIRST: (FactKind.OUTSIDE_SIGNATURE, 0.6),
    AccidentalKind.AGAIN: (FactKind.STILL_ALTERED, 0.7),
    AccidentalKind.COURTESY: (FactKind.REMINDERS, 0.2),
    AccidentalKind.ENHARMONIC: (FactKind.SPELLINGS, 0.5),
}
"""For each kind of accidental the fact about it and how much it matters to a reader, in reading order.

House choice: what the page does not show (an accidental still in force) misleads most, a reminder least.
"""

Key = tuple[int, str, int]


@dataclass(frozen=True, slots=True)
class AccidentalStudy:
    """The accidentals of each part, in score order, and the facts a reader may want of them."""

    by_part: tuple[tuple[AccidentalUse, ...], ...]
    facts: tuple[Fact, ...] = ()


def find_accidentals(columns: Columns) -> AccidentalStudy:
    """The written accidentals of every part.

    Example:
        >>> from planner.study.notes.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_accidentals(columns_of(Score("Empty", (), ()))).by_part
        ()
    """
    by_part, facts = [], list[Fact]()
    for part in columns.parts:
        by_part.append(accidentals_of(part.part))
        if part.is_pitched:
            facts += _facts(part.part, by_part[-1])
    return AccidentalStudy(tuple(by_part), tuple(facts))


def accidentals_of(part: Part) -> tuple[AccidentalUse, ...]:
    """The accidentals of one part, by kind and pitch name, in order of first appearance.

    Example:
        >>> accidentals_of(Part("P1", "Flute"))
        ()
    """
    reading = _Reading()
    for note, alters in _with_signature(part):
        _read(reading, note, alters)
    return tuple(sorted((_use(*found) for found in reading.found.items()), key=lambda use: use.measure))


def _facts(part: Part, uses: tuple[AccidentalUse, ...]) -> Iterator[Fact]:
    """For each kind of accidental one fact, with the notes that come most often."""
    signatures = {key.fifths for key in part.keys} or {0}
    for kind, (fact, weight) in FACTS.items():
        found = [use for use in uses if use.kind is kind]
        if found:
            often = sorted(found, key=lambda use: -use.times)[:MOST_NOTES]
            names = tuple(use.pitch for use in found if use in often)
            more = named(more=len(found) - len(names))
            yield Fact(fact, part.name, notes=names, numbers=more, weight=weight)
        elif kind is AccidentalKind.FIRST and len(signatures) == 1:
            fifths = named(fifths=signatures.pop())
            yield Fact(FactKind.IN_SIGNATURE, part.name, numbers=fifths, weight=0.2)


@dataclass(slots=True)
class _Found:
    """What is found of one note name: where, and why its spelling is a trap."""

    measures: list[int] = field(default_factory=list)
    sounds_as: str = ""
    just_played: str = ""


@dataclass(slots=True)
class _Reading:
    """What a player keeps in mind while reading one part."""

    found: dict[tuple[AccidentalKind, str], _Found] = field(default_factory=dict)
    measure: int = -1
    in_force: dict[Key, int] = field(default_factory=dict)
    struck: dict[Key, tuple[Fraction, bool]] = field(default_factory=dict)
    spelled: dict[int, tuple[str, int]] = field(default_factory=dict)

    def add(self, kind: AccidentalKind, pitch: str, *, sounds_as: str = "", just_played: str = "") -> None:
        new = _Found(sounds_as=sounds_as, just_played=just_played)
        self.found.setdefault((kind, pitch), new).measures.append(self.measure)


def _use(name: tuple[AccidentalKind, str], found: _Found) -> AccidentalUse:
    kind, pitch = name
    return AccidentalUse(
        measure=found.measures[0],
        pitch=pitch,
        kind=kind,
        times=len(found.measures),
        measures=tuple(dict.fromkeys(found.measures)),
        sounds_as=found.sounds_as,
        just_played=found.just_played,
    )


def _with_signature(part: Part) -> Iterator[tuple[Note, dict[str, int]]]:
    """Each note with a pitch beside what the signature in force on its staff alters."""
    keys = sorted(part.keys, key=lambda key: (key.measure, key.onset_quarters))
    alters: dict[int, dict[str, int]] = {}
    at = 0
    for note in part.notes:
        while at < len(keys) and _is_before(keys[at], note):
            alters[keys[at].staff] = signature_alters(keys[at].fifths)
            at += 1
        if note.pitch is not None and not note.is_rest and not note.is_cue:
            yield note, alters.get(note.staff, {})


def _is_before(key: KeySignature, note: Note) -> bool:
    return (key.measure, key.onset_quarters) <= (note.measure, note.onset_quarters)


def telling_signs(part: Part) -> Iterator[Note]:
    """The notes whose printed accidental changes what the signature and their bar give them already.

    Example:
        >>> list(telling_signs(Part("P1", "Flute")))
        []
    """
    measure, in_force = -1, dict[Key, int]()
    for note, alters in _with_signature(part):
        pitch = note.pitch
        if note.measure != measure:
            measure, in_force = note.measure, {}
        if pitch is None or note.tie_from_previous or pitch.alter.denominator != 1:
            continue
        key, alter = (note.staff, pitch.step, pitch.octave), int(pitch.alter)
        if note.accidental and not note.is_courtesy and in_force.get(key, alters.get(pitch.step, 0)) != alter:
            yield note
        in_force[key] = alter


def _read(reading: _Reading, note: Note, alters: dict[str, int]) -> None:
    pitch = note.pitch
    assert pitch is not None
    if note.measure != reading.measure:
        reading.measure, reading.in_force, reading.struck = note.measure, {}, {}
    alter, parts_of_semitone = pitch.alter.as_integer_ratio()
    if note.tie_from_previous or parts_of_semitone != 1:
        return
    step = pitch.step
    key = (note.staff, step, pitch.octave)
    usual = alters.get(step, 0)
    expected = reading.in_force.get(key, usual)
    name = _name(step, alter) if alter else step
    moment = (note.onset_quarters, note.is_grace)
    is_shared = reading.struck.get(key) == moment  # one head of two voices
    if alter != usual:
        reading.add(AccidentalKind.FIRST, name)
        if expected == alter and not note.accidental and not note.is_grace and not is_shared:
            reading.add(AccidentalKind.AGAIN, name)
    elif expected != alter:
        reading.add(AccidentalKind.BACK, name)
    if note.accidental and (note.is_courtesy or expected == alter) and not is_shared:
        reading.add(AccidentalKind.COURTESY, name)
    reading.in_force[key], reading.struck[key] = alter, moment
    _look_for_traps(reading, name, alter, 12 * (pitch.octave + 1) + STEP_SEMITONES[step] + alter)


def _name(step: str, alter: int) -> str:
    return step + ("#" * alter if alter > 0 else "b" * -alter)


def _look_for_traps(reading: _Reading, name: str, alter: int, midi: int) -> None:
    before = reading.spelled.get(midi)
    if name in TRAP_NAMES or alter > 1 or alter < -1:
        reading.add(AccidentalKind.ENHARMONIC, name, sounds_as=_plain_name(midi))
    elif before and before[0] != name and reading.measure - before[1] <= NEAR_MEASURES:
        reading.add(AccidentalKind.ENHARMONIC, name, just_played=before[0])
    reading.spelled[midi] = (name, reading.measure)


def _plain_name(midi: int) -> str:
    return ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")[midi % 12]
