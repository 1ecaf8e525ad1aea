"""A score, or one part of it, page by page."""

from bisect import bisect_right
from dataclasses import dataclass
from pathlib import Path

from planner.core.profile import PieceProfile
from planner.errors import InputError
from planner.services.ports.engraving import Engraver
from planner.wording.words import bar_names, bar_number, bars, printed_ends

WIDTH_MM = 190.0
"""Width of a page. Source: common practice; a printed sheet less its margins."""
NARROW_MM = 92.0
"""Width of music on a phone. Source: house choice: a staff of some 22 pixels at 390."""
ROOM_MM = 58.0
"""Width of a few bars for a room. Source: house choice: a staff of 100 pixels on half a screen of 1920."""
STAFF_MM = 6.0
_SMALLER: tuple[tuple[int, float], ...] = ((5, 5.0), (12, 4.0), (24, 3.2))
"""From so many parts on, the height of a staff. Source: house choice, near printed scores."""


def staff_mm(parts: int) -> float:
    """Height of a staff where so many parts are drawn together.

    Example:
        >>> staff_mm(1), staff_mm(8), staff_mm(40)
        (6.0, 5.0, 3.2)
    """
    return next((height for least, height in reversed(_SMALLER) if parts >= least), STAFF_MM)


@dataclass(frozen=True, slots=True)
class ScorePage:
    """One page.

    Attributes:
        number, count: Which, from 1 on, of how many.
        first, last: The measures on it.
        title: The bars on it, in words.
        opens_at: The printed number of its first bar.
    """

    number: int
    count: int
    first: int
    last: int
    title: str
    opens_at: str


def score_page(
    engraver: Engraver,
    clean: Path,
    profile: PieceProfile,
    *,
    part: int | None,
    number: int,
    measure: int | None,
) -> ScorePage:
    """A page of the score, or of a part.

    Args:
        engraver: Reckons where pages end.
        clean: The clean score.
        profile: The study of the piece.
        part: Place of the part in the score; None for the full score.
        number: Which page, from 1 on; of too high a number the last.
        measure: Go to the page with this written measure instead; None to go by the number.

    Raises:
        ScoreReadError: If the score cannot be opened.
        DrawingBusyError: If too many drawings are under way.
    """
    height = staff_mm(1 if part is not None else len(profile.parts))
    starts = engraver.page_starts(clean, part=part, width_mm=WIDTH_MM, staff_mm=height)
    at = bisect_right(starts, measure) - 1 if measure is not None else min(max(number, 1), len(starts)) - 1
    first = starts[at]
    last = starts[at + 1] - 1 if at + 1 < len(starts) else profile.measures - 1
    numbers = bar_names(profile)
    return ScorePage(
        at + 1, len(starts), first, last, bars(numbers, first, last), printed_ends(numbers, first, last)[0]
    )


def measure_named(profile: PieceProfile, name: str) -> int:
    """The written measure that somebody calls by its printed number, or in the words of the study.

    Where a number stands more than once, the first is meant unless the numbering is named.

    Args:
        profile: The study.
        name: Such as ``12``, ``pickup`` or ``5 of the second numbering``.

    Raises:
        InputError: If no bar is called so.
    """
    numbers = bar_names(profile)
    wanted = _plain(name)
    named = [_plain(bar_number(numbers, at)) for at in range(profile.measures)]
    printed = [found.partition(" of the ")[0] for found in named]
    for names in (named, printed):
        if wanted in names:
            return names.index(wanted)
    low, high = printed_ends(numbers, 0, profile.measures - 1)
    raise InputError(
        f"There is no bar “{name.strip()[:40]}” here.", hint=f"Its bars go from {low} to {high}.", field="bar"
    )


def _plain(name: str) -> str:
    """A bar's name without the word bar, an article or leading zeros."""
    plain = " ".join(name.casefold().split()).removeprefix("bar ").removeprefix("the ")
    return plain.lstrip("0") or "0" if plain.isascii() and plain.isdecimal() else plain
