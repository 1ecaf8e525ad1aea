"""Which parts that are played cover, by doubling or by cues, a part that nobody reads."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from planner.core.score import Part, Score

WORTH_TELLING = 0.25
"""Share of a part's notes that another must have to be named. Source: house choice."""

Place = tuple[int, Fraction, int]


@dataclass(frozen=True, slots=True)
class Cover:
    """How far one part that is played stands in for one that is not.

    Attributes:
        part: Who could cover.
        share: Share of the missing part's notes that it has at the same moment, octave aside, 0 to 1.
        is_cue: They stand there as cues, to be played when asked.
    """

    part: str
    share: float
    is_cue: bool = False


@dataclass(frozen=True, slots=True)
class Missing:
    """A part that nobody reads.

    Attributes:
        part: Its name.
        covers: Who covers most of it first; only those worth telling.
        together: Share of its notes that all parts that are played have together, cues left out.
    """

    part: str
    covers: tuple[Cover, ...]
    together: float


def find_cover(score: Score, missing: Sequence[str], played: Sequence[str]) -> tuple[Missing, ...]:
    """Doublings and cues for each missing part with pitches.

    Example:
        >>> find_cover(Score("Empty", (), ()), (), ())
        ()
    """
    parts = {part.name: part for part in score.parts}
    others = [parts[name] for name in played if name in parts]
    sounding = {part.name: _places(part, is_cue=False) for part in others}
    cued = {part.name: _places(part, is_cue=True) for part in others}
    found = []
    for name in missing:
        wanted = _places(parts[name], is_cue=False) if name in parts else frozenset()
        if wanted:
            covers = [
                Cover(other, round(len(wanted & places) / len(wanted), 3), is_cue)
                for table, is_cue in ((sounding, False), (cued, True))
                for other, places in table.items()
            ]
            covers = [each for each in covers if each.share >= WORTH_TELLING]
            covers.sort(key=lambda each: (-each.share, each.is_cue, each.part))
            every = frozenset().union(*sounding.values())
            found.append(Missing(name, tuple(covers), round(len(wanted & every) / len(wanted), 3)))
    return tuple(found)


def _places(part: Part, *, is_cue: bool) -> frozenset[Place]:
    """Where a part strikes which sounding pitch class."""
    return frozenset(
        (
            note.measure,
            note.onset_quarters,
            int(note.pitch.midi + part.transposition_at(note.measure).semitones) % 12,
        )
        for note in part.notes
        if note.pitch is not None and (note.is_cue and not note.is_rest if is_cue else note.is_struck)
    )
