"""A singer's first note, and how it is found: its place in the key, and who has it, or one near, before."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from planner.core.fact import Fact, FactKind
from planner.core.instruments import family_of
from planner.core.pitch import Pitch
from planner.core.profile import KeySpan
from planner.core.score import Note, Part, Score

BEFORE_QUARTERS = Fraction(2)
"""How long ago a note has ended that a singer takes up just after it. House choice: two beats."""
NEAR_QUARTERS = Fraction(1)
"""What sounds so shortly before the last note is heard with it. House choice: a beat."""
LEAST_QUARTERS = Fraction(1, 2)
"""Shortest note that a singer takes a pitch from. House choice."""
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
        heard = _heads_before(score, part, note)
        before = _same_note(score, heard, sounding) or _highest_note(score, heard, sounding)
        if degree or before:
            yield Fact(
                FactKind.FIRST_NOTE,
                part.name,
                places=((note.measure, note.measure),),
                notes=(str(note.pitch),),
                parts=(before.part,) if before else (),
                keys=(key,) if degree else (),
                numbers=(
                    *_number("degree", degree),
                    *_number("octaves", before.octaves if before else 0),
                    *_number("steps", before.steps if before else 0),
                ),
                terms=(before.line,) if before and before.line else (),
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


def _number(name: str, value: int) -> tuple[tuple[str, float], ...]:
    """A number of a fact; nothing where it is 0."""
    return ((name, value),) if value else ()


def _place(note: Note) -> tuple[int, Fraction]:
    return note.measure, note.onset_quarters


def _key_at(keys: Sequence[KeySpan], note: Note) -> str:
    found = ""
    for span in keys:
        if (span.measure, span.offset_quarters) <= (note.measure, float(note.onset_quarters)):
            found = span.key
    return found


@dataclass(frozen=True, slots=True)
class _Heard:
    """A head of another part: when it sounds, in quarters of the score, its pitch, and in which part."""

    start: Fraction
    end: Fraction
    pitch: Pitch
    part: int


@dataclass(frozen=True, slots=True)
class _Before:
    """Who has the note, or one near it.

    Attributes:
        part: Its name.
        line: ``top`` or ``bass`` of what is heard; empty where the note is alone.
        octaves: How many octaves above the singer's it is.
        steps: How many steps of the staff the singer's lies above it; 0 where it is the same note.
    """

    part: str
    line: str = ""
    octaves: int = 0
    steps: int = 0


def _same_note(score: Score, heads: Sequence[_Heard], sounding: Pitch) -> _Before | None:
    """Whom a singer hears the note from: of what sounds last only the highest and the lowest stand out.

    In the same octave rather than in the next one, on top rather than in the bass; the top is struck last.
    """
    last = max((head.end for head in heads), default=Fraction(0))
    near = [head for head in heads if head.end > last - NEAR_QUARTERS]
    struck = max((head.start for head in heads), default=Fraction(0))
    found = []
    for rank, line, pick in ((0, "top", max), (1, "bass", min)):
        edge = pick((head.pitch.midi for head in near), default=None)
        for head in near:
            apart, is_octave = divmod(head.pitch.midi - sounding.midi, 12)
            is_heard = head.end == last and head.end - head.start >= LEAST_QUARTERS
            is_heard &= line == "bass" or head.start == struck
            if head.pitch.midi == edge and is_heard and not is_octave and abs(apart) <= 1:
                is_alone = len({other.pitch.midi for other in near}) == 1
                own = _Before(score.parts[head.part].name, "" if is_alone else line, int(apart))
                found.append((abs(apart), rank, head.part, own))
    return min(found, key=lambda each: each[:3])[3] if found else None


def _highest_note(score: Score, heads: Sequence[_Heard], sounding: Pitch) -> _Before | None:
    """Whose note is the highest of those that end last, and struck last, up to a fifth away.

    An ear follows the top; where a lower note is struck after it, it may follow that one.
    """
    latest = max((head.end for head in heads), default=Fraction(0))
    last = [head for head in heads if head.end == latest and head.end - head.start >= LEAST_QUARTERS]
    top = max((head.pitch.midi for head in last), default=None)
    tops = [head for head in last if head.pitch.midi == top]
    is_struck_last = bool(tops) and max(each.start for each in tops) == max(each.start for each in heads)
    if len({head.part for head in tops}) != 1 or not is_struck_last:
        return None
    steps = sounding.diatonic - tops[0].pitch.diatonic
    return _Before(score.parts[tops[0].part].name, steps=steps) if 0 < abs(steps) <= FARTHEST_STEPS else None


def _heads_before(score: Score, singer: Part, first: Note) -> list[_Heard]:
    """Everything with a pitch that other parts sound before an entrance, as far back as it is in the ear."""
    entry = score.measures[first.measure].start_quarters + first.onset_quarters
    found = []
    for at, part in enumerate(score.parts):
        for note in part.notes if part is not singer else ():
            start = score.measures[note.measure].start_quarters + note.onset_quarters
            if start >= entry:
                break
            end = min(entry, start + note.duration_quarters)
            if note.pitch is None or note.is_rest or note.is_cue or note.is_grace:
                continue
            if end > entry - BEFORE_QUARTERS:
                pitch = part.transposition_at(note.measure).to_sounding(note.pitch)
                found.append(_Heard(start, end, pitch, at))
    return found
