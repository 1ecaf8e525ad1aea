"""What a percussionist sets up: the instruments that a part strikes, the pitches of the timpani."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import permutations

from planner.core.fact import Fact, FactKind
from planner.core.instruments import family_of
from planner.core.score import Note, Part, Score
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
    straight = tuple(play_order) == tuple(range(len(score.measures)))
    for part in score.parts:
        if part.instrument == "timpani":
            yield from _tuned(score, part, quarter_bpm, straight=straight)
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


def _tuned(score: Score, part: Part, quarter_bpm: Sequence[float], *, straight: bool) -> Iterator[Fact]:
    heads = [note for note in part.notes if not (note.is_rest or note.is_cue)]
    if not heads or part.transposition.semitones or any(note.pitch is None for note in heads):
        return
    measures, strokes = _strokes(score, heads, quarter_bpm)
    changes = retunings(strokes)
    opening = _opening(strokes, changes)
    if opening is None or len(changes) > MOST_CHANGES or (changes and not straight):
        return
    spelled = {int(note.pitch.midi): str(note.pitch) for note in heads if note.pitch}
    yield Fact(
        FactKind.DRUMS_TUNED,
        part.name,
        places=tuple((measures[change.at], measures[change.at]) for change in changes),
        notes=(
            *(spelled[pitch] for pitch in opening),
            *(spelled[pitch] for change in changes for pitch in (change.before, change.after)),
        ),
        numbers=(("opening", len(opening)), *(("seconds", int(change.seconds)) for change in changes)),
        weight=0.9,
    )


def _strokes(
    score: Score, heads: Sequence[Note], quarter_bpm: Sequence[float]
) -> tuple[list[int], list[Stroke]]:
    """What sounds at each moment, with its measure; grace notes stand with the note that they lead to."""
    begins = [0.0]
    for measure, bpm in zip(score.measures, quarter_bpm, strict=True):
        begins.append(begins[-1] + float(measure.length_quarters) * 60.0 / bpm)
    moments: dict[tuple[int, Fraction], list[Note]] = {}
    for note in heads:
        moments.setdefault((note.measure, note.onset_quarters), []).append(note)
    strokes = list[Stroke]()
    for (where, onset), notes in sorted(moments.items()):
        at = begins[where] + float(onset) * 60.0 / quarter_bpm[where]
        longest = max(float(note.duration_quarters) for note in notes)
        pitches = tuple(dict.fromkeys(int(note.pitch.midi) for note in notes if note.pitch))
        strokes.append(Stroke(pitches, at, at + longest * 60.0 / quarter_bpm[where]))
    return [where for where, _ in sorted(moments)], strokes


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
