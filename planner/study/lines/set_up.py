"""What a percussionist sets up: the instruments that a part strikes, the pitches of the timpani."""

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import permutations

from planner.core.fact import Fact, FactKind
from planner.core.instruments import family_of
from planner.core.score import Note, Part, Score
from planner.study.lines.silences import rounded_down
from planner.study.lines.timpani import DRUM_RANGES, Retuning, Stroke, retunings

MOST_INSTRUMENTS = 8
"""Most instruments that a player can lay out from a list; of more nothing is stated. House choice."""
MOST_CHANGES = 4
"""Most changes of pitch that a reader keeps in mind; of more nothing is stated. House choice."""


def set_up_facts(score: Score, play_order: Sequence[int], quarter_bpm: Sequence[float]) -> Iterator[Fact]:
    """What each percussion part sets up, where the page leaves no doubt.

    Args:
        score: The score.
        play_order: Its measures as they are played.
        quarter_bpm: For each measure, quarters a minute, above 0.

    Example:
        >>> list(set_up_facts(Score("Empty", (), ()), (), ()))
        []
    """
    for part in score.parts:
        if part.instrument == "timpani":
            yield from _tuned(score, part, play_order, quarter_bpm)
        elif family_of(part.instrument) in ("percussion", ""):
            yield from _struck(part)


def _struck(part: Part) -> Iterator[Fact]:
    strokes = [note for note in part.notes if note.is_struck]
    first: dict[str, int] = {}
    for note in strokes:
        first.setdefault(note.percussion, note.measure)
    are_named = all(any(letter.isalpha() for letter in name) for name in first)
    if are_named and all(note.unpitched for note in strokes) and 2 <= len(first) <= MOST_INSTRUMENTS:
        yield Fact(
            FactKind.STRUCK,
            part.name,
            places=tuple((measure, measure) for measure in first.values()),
            terms=tuple(first),
            weight=0.7,
        )


def _tuned(
    score: Score, part: Part, play_order: Sequence[int], quarter_bpm: Sequence[float]
) -> Iterator[Fact]:
    heads = [note for note in part.notes if not (note.is_rest or note.is_cue)]
    if not heads or part.transposition.semitones or any(note.pitch is None for note in heads):
        return
    bars, strokes = _strokes(score, heads, play_order, quarter_bpm)
    changes = retunings(strokes)
    opening = _opening(strokes, changes)
    if opening is None or len(changes) > MOST_CHANGES:
        return
    spelled = {int(note.pitch.midi): str(note.pitch) for note in heads if note.pitch}
    again = Counter(play_order)
    times = [bars[change.at][1] if again[bars[change.at][0]] > 1 else 0 for change in changes]
    yield Fact(
        FactKind.DRUMS_TUNED,
        part.name,
        places=tuple((bars[change.at][0], bars[change.at][0]) for change in changes),
        notes=(
            *(spelled[pitch] for pitch in opening),
            *(spelled[pitch] for change in changes for pitch in (change.before, change.after)),
        ),
        numbers=(
            ("opening", len(opening)),
            *(("seconds", rounded_down(change.seconds)) for change in changes),
            *(("time", time) for time in times if any(times)),
        ),
        weight=0.9,
    )


def _strokes(
    score: Score, heads: Sequence[Note], play_order: Sequence[int], quarter_bpm: Sequence[float]
) -> tuple[list[tuple[int, int]], list[Stroke]]:
    """What sounds at each moment as it is played, with its measure and which time that is played.

    Grace notes stand with the note that they lead to.
    """
    moments: dict[int, dict[Fraction, list[Note]]] = {}
    for note in sorted(heads, key=lambda note: (note.measure, note.onset_quarters)):
        moments.setdefault(note.measure, {}).setdefault(note.onset_quarters, []).append(note)
    bars, strokes = list[tuple[int, int]](), list[Stroke]()
    times, begins = Counter[int](), 0.0
    for measure in play_order:
        second = 60.0 / quarter_bpm[measure]
        times[measure] += 1
        for onset, notes in moments.get(measure, {}).items():
            at = begins + float(onset) * second
            longest = max(float(note.duration_quarters) for note in notes)
            pitches = tuple(dict.fromkeys(int(note.pitch.midi) for note in notes if note.pitch))
            bars.append((measure, times[measure]))
            strokes.append(Stroke(pitches, at, at + longest * second))
        begins += float(score.measures[measure].length_quarters) * second
    return bars, strokes


def _opening(strokes: Sequence[Stroke], changes: Sequence[Retuning]) -> tuple[int, ...] | None:
    """What the drums are tuned to at first, low to high; None where a stroke is on none of the drums."""
    arriving = {(change.at, change.after) for change in changes}
    tuned, opening = set[int](), set[int]()
    for at, stroke in enumerate(strokes):
        tuned -= {change.before for change in changes if change.at == at}
        new = [pitch for pitch in stroke.pitches if pitch not in tuned]
        opening |= {pitch for pitch in new if (at, pitch) not in arriving}
        tuned |= set(new)
    return tuple(sorted(opening)) if _fit_drums(sorted(opening)) else None


def _fit_drums(pitches: Sequence[int]) -> bool:
    """Whether the drums can be tuned to all of these at once."""
    return any(
        all(low <= pitch <= high for pitch, (low, high) in zip(pitches, drums, strict=True))
        for drums in permutations(DRUM_RANGES, len(pitches))
    )
