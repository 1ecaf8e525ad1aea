"""Positions of a trombone's slide: where each note lies, alternates and F attachment included."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from planner.study.lines.cheapest import NOWHERE, cheapest_path
from planner.study.notes.columns import Bools, Floats, Ints

SLIDES: dict[str, tuple[int, int, bool]] = {
    "trombone": (0, 34, False), "trombone-treble": (-14, 34, False), "trombone-bass": (0, 34, True),
    "trombone-alto": (0, 39, False),
}  # fmt: skip
"""By instrument group: semitones from its written note to the sounding one, MIDI number of the sounding
fundamental in first position (B♭1; E♭2 of an alto), and whether it always has an F attachment. Source: common
practice."""
PARTIALS: dict[int, int] = {2: 12, 3: 19, 4: 24, 5: 28, 6: 31, 7: 34, 8: 36, 9: 38, 10: 40, 12: 43}
"""Semitones of each partial above the fundamental; the eleventh lies between two notes. Harmonic series."""
PEDAL_PARTIAL = {1: 0}
FLAT_PARTIAL, RAISED = 7, 0.31
"""The seventh partial is 31 cents flat: its positions are drawn in by so much, and first cannot be."""
PEDALS_REACH = 4
"""Positions in which a pedal note speaks for most players. Source: common practice, from memory."""
SLIDE_POSITIONS = 7
F_ATTACHMENT_LOWERS = 5
"""Semitones by which the F attachment lowers the slide: from B♭ to F."""
LONGEST_REACH = 7.45
"""The position up to which an arm reaches: low C with the F attachment, called a long seventh, lies at 7.4 of
the plain positions and low B beyond 8. Source: common practice; the places follow from lengths of tube."""
SLIDE_MOVE = 4
"""Slide positions from which a move is long. Source: house choice: more than half of the slide."""

_LONG, _ALTERNATE = 1000.0, 1.5
"""What a long move costs, and a place that is not a note's first, in positions travelled. House choice: no
alternate is taken to save one position, and any to save a long move."""


@dataclass(frozen=True, slots=True)
class SlidePlace:
    """Where the slide can stand.

    Attributes:
        position: As charts name it, 1 to 7; with the F attachment 1 to 6.
        out: How far out, in positions of the plain slide; the raised ones of the seventh partial less.
        with_attachment: The F attachment is on.
        raised: A position drawn in for the seventh partial.
    """

    position: int
    out: float
    with_attachment: bool = False
    raised: bool = False


@lru_cache(maxsize=2)
def places(*, attachment: bool) -> tuple[SlidePlace, ...]:
    """Every place of the slide, the plain ones first."""
    plain = [SlidePlace(p, float(p)) for p in range(1, SLIDE_POSITIONS + 1)]
    raised = [SlidePlace(p, p - RAISED, raised=True) for p in range(2, SLIDE_POSITIONS + 1)]
    if not attachment:
        return (*plain, *raised)
    longer = 2.0 ** (F_ATTACHMENT_LOWERS / 12)
    outs = [1 + 12 * np.log2(1 + longer * (2.0 ** (below / 12) - 1)) for below in range(SLIDE_POSITIONS)]
    lowered = [SlidePlace(at + 1, float(out), with_attachment=True) for at, out in enumerate(outs)]
    return (*plain, *raised, *(place for place in lowered if place.out <= LONGEST_REACH))


def positions_of(note: int, group: str = "trombone", *, attachment: bool = False) -> tuple[SlidePlace, ...]:
    """Every place of the slide in which a written note sounds, the first position first.

    Example:
        >>> [place.position for place in positions_of(65)]  # F4
        [1, 6, 4]
        >>> [(place.position, place.with_attachment) for place in positions_of(47, attachment=True)]  # B2
        [(7, False), (2, True)]
    """
    shift, fundamental, _ = SLIDES[group]
    every = places(attachment=attachment)
    able = _able(note + shift - fundamental, attachment=attachment)
    return tuple(place for place, can in zip(every, able, strict=True) if can)


@lru_cache(maxsize=512)
def _able(above: int, *, attachment: bool) -> tuple[bool, ...]:
    """For each place whether a note so many semitones above the fundamental sounds there."""
    found = []
    for place in places(attachment=attachment):
        lowered = place.position - 1 + (F_ATTACHMENT_LOWERS if place.with_attachment else 0)
        if place.raised:
            partials = [PARTIALS[FLAT_PARTIAL]]
        else:
            partials = [semitones for partial, semitones in PARTIALS.items() if partial != FLAT_PARTIAL]
            if place.position <= PEDALS_REACH:
                partials.append(PEDAL_PARTIAL[1])
        found.append(above + lowered in partials)
    return tuple(found)


def slide_path(
    group: str, notes: Ints, near: Bools, *, attachment: bool = False
) -> tuple[SlidePlace | None, ...]:
    """The place of each written note: as few long moves as can be, then the least travel, then plain places.

    Example:
        >>> every = np.array([True, True])
        >>> path = slide_path("trombone", np.array([60, 65, 60]), every)  # C4 F4 C4
        >>> [place.position for place in path if place]
        [3, 4, 3]
    """
    if not len(notes):
        return ()
    shift, fundamental, always = SLIDES[group]
    has_one = attachment or always
    every = places(attachment=has_one)
    own = np.array([_costs(note + shift - fundamental, attachment=has_one) for note in notes.tolist()])
    path = cheapest_path(own, _moves(attachment=has_one), near)
    return tuple(None if at == NOWHERE else every[at] for at in path.tolist())


@lru_cache(maxsize=512)
def _costs(above: int, *, attachment: bool) -> tuple[float, ...]:
    """What each place costs for a note: nothing for its first one, infinity where it does not sound."""
    able = _able(above, attachment=attachment)
    first = able.index(True) if True in able else NOWHERE
    return tuple((0.0 if at == first else _ALTERNATE) if can else float("inf") for at, can in enumerate(able))


@lru_cache(maxsize=2)
def _moves(*, attachment: bool) -> Floats:
    out = np.array([place.out for place in places(attachment=attachment)])
    travel = np.abs(out[:, None] - out[None, :])
    return np.asarray(travel + _LONG * (np.rint(travel) >= SLIDE_MOVE))


def slide_moves(group: str, notes: Ints, near: Bools, *, attachment: bool = False) -> Ints:
    """Positions the slide travels between neighbouring notes on that path; 0 without a slide or off it."""
    if group not in SLIDES:
        return np.zeros(max(0, len(notes) - 1), dtype=np.int64)
    out = np.array(
        [place.out if place else np.nan for place in slide_path(group, notes, near, attachment=attachment)]
    )
    travel = np.abs(np.diff(out))
    return np.asarray(np.rint(np.where(np.isnan(travel), 0.0, travel)), dtype=np.int64)
