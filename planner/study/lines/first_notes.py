"""A singer's first note, and how it is found: its place in the key, and who has it just before."""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from planner.core.fact import Fact, FactKind
from planner.core.instruments import family_of
from planner.core.pitch import Pitch
from planner.core.profile import KeySpan
from planner.core.score import Note, Part, Score

BEFORE_QUARTERS = Fraction(4)
"""How far back a note is still in a singer's ear. House choice: a bar of 4/4."""
FARTHEST_STEPS = 4
"""Steps of the staff up to which a note is found from another one: a fifth. House choice."""
SCALES = {"major": (0, 2, 4, 5, 7, 9, 11), "minor": (0, 2, 3, 5, 7, 8, 10)}
"""Semitones of the steps of a scale above its tonic."""


def first_note_facts(score: Score, play_order: Sequence[int], keys: Sequence[KeySpan]) -> Iterator[Fact]:
    """For each part that sings its first note, if it is a single one.

    Args:
        score: The score.
        play_order: Its measures as they are played.
        keys: Local keys, sounding.

    Example:
        >>> list(first_note_facts(Score("Empty", (), ()), (), ()))
        []
    """
    for part in score.parts:
        if family_of(part.instrument) != "voice":
            continue
        heads = [note for note in part.notes if note.is_struck and note.pitch]
        first = heads[:1]
        begin = [note for note in heads if first and _place(note) == _place(first[0])]
        if len(begin) != 1 or begin[0].pitch is None:
            continue
        [note] = begin
        if tuple(play_order[: note.measure + 1]) != tuple(range(note.measure + 1)):
            continue
        sounding = part.transposition_at(note.measure).to_sounding(begin[0].pitch)
        key = _key_at(keys, note)
        degree = degree_in(sounding, key)
        before, steps = _just_before(score, part, note, sounding), 0
        if not before:
            before, steps = _highest_before(score, part, note, sounding)
        if degree or before:
            yield Fact(
                FactKind.FIRST_NOTE,
                part.name,
                places=((note.measure, note.measure),),
                notes=(str(note.pitch),),
                parts=(before,) if before else (),
                keys=(key,) if degree else (),
                numbers=(*((("degree", degree),) if degree else ()), *((("steps", steps),) if steps else ())),
                weight=0.9,
            )


def degree_in(sounding: Pitch, key: str) -> int:
    """Which step of a key's scale a pitch is, 1 to 7; 0 where it is none, or the key is modal or unknown.

    Example:
        >>> degree_in(Pitch.parse("A4"), "D major"), degree_in(Pitch.parse("C#5"), "D minor")
        (5, 0)
    """
    tonic, _, mode = key.partition(" ")
    if mode not in SCALES:
        return 0
    root = Pitch.parse(f"{tonic}0")
    degree = (sounding.diatonic - root.diatonic) % 7
    return degree + 1 if (sounding.midi - root.midi) % 12 == SCALES[mode][degree] else 0


def _place(note: Note) -> tuple[int, Fraction]:
    return note.measure, note.onset_quarters


def _key_at(keys: Sequence[KeySpan], note: Note) -> str:
    found = ""
    for span in keys:
        if (span.measure, span.offset_quarters) <= (note.measure, float(note.onset_quarters)):
            found = span.key
    return found


def _just_before(score: Score, singer: Part, first: Note, sounding: Pitch) -> str:
    """Who has the same note just before: in the same octave rather than in another, the latest rather."""
    found = [
        (heard.midi == sounding.midi, end, -at)
        for at, end, heard in _heard_before(score, singer, first)
        if (heard.midi - sounding.midi) % 12 == 0
    ]
    return score.parts[-max(found)[2]].name if found else ""


def _highest_before(score: Score, singer: Part, first: Note, sounding: Pitch) -> tuple[str, int]:
    """Whose note is the highest of those that end last before, and the steps from it; none if too far.

    An ear follows the top of what it hears.
    """
    heard_before = list(_heard_before(score, singer, first))
    latest = max((end for _, end, _ in heard_before), default=Fraction(0))
    last = [(heard, at) for at, end, heard in heard_before if end == latest]
    if not last:
        return "", 0
    top = max(heard.midi for heard, _ in last)
    tops = [(heard, at) for heard, at in last if heard.midi == top]
    steps = sounding.diatonic - tops[0][0].diatonic
    if len({at for _, at in tops}) > 1 or not 0 < abs(steps) <= FARTHEST_STEPS:
        return "", 0
    return score.parts[tops[0][1]].name, steps


def _heard_before(score: Score, singer: Part, first: Note) -> Iterator[tuple[int, Fraction, Pitch]]:
    """What is still in a singer's ear: place of the part, when it ends at the latest, sounding pitch."""
    entry = score.measures[first.measure].start_quarters + first.onset_quarters
    for at, part in enumerate(score.parts):
        if part is singer:
            continue
        for note in part.notes:
            if note.pitch is None or note.is_rest or note.is_cue or note.is_grace:
                continue
            if note.measure > first.measure:
                break
            start = score.measures[note.measure].start_quarters + note.onset_quarters
            end = min(entry, start + note.duration_quarters)
            if start < entry and end > entry - BEFORE_QUARTERS:
                yield at, end, part.transposition_at(note.measure).to_sounding(note.pitch)
