"""The two passages a guide shows: the opening with the part's first entrance, and the hardest spot beyond."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from planner.core.profile import PieceProfile, Spot
from planner.errors import ScoreReadError
from planner.services.ports import Engraver
from planner.services.sheets.guide_topics import hardest_spot
from planner.services.sheets.views import GuideExcerpt
from planner.wording.guide import not_drawn, opening_caption, spot_caption
from planner.wording.words import bar_names

_OPENING_BARS = 16
_SPOT_BARS = 8
_LINES = 2
_STAFF_MM = 6.6
"""Height of a staff. Source: common practice; printed parts have 6.5 to 7.5 mm."""


@dataclass(frozen=True, slots=True)
class Drawer:
    """Draws passages of one piece at the width of the sheet; ``clean`` is None when it cannot be drawn."""

    engraver: Engraver
    clean: Path | None
    width_mm: float

    def excerpts(self, profile: PieceProfile, part: int) -> Iterator[GuideExcerpt]:
        """The passages of the part at this place; none for a part without notes.

        A passage that cannot be drawn is said in its caption: a guide without it is
        better than none.
        """
        if self.clean is None:
            yield _excerpt("The opening", "")
            return
        try:
            entrance = self.engraver.first_played(self.clean, part=part)
        except ScoreReadError:
            yield _excerpt("The opening", "")
            return
        if entrance is None:
            return
        last = min(profile.measures - 1, entrance + _OPENING_BARS - 1)
        svg, end = self._lines(part, 0, last, _LINES)
        numbers = bar_names(profile)
        yield _excerpt(opening_caption(numbers, end), svg)
        spot = hardest_spot(profile.parts[part], 0, end)
        if spot is not None:
            svg = self._spot(part, spot, profile.measures - 1)
            yield _excerpt(spot_caption(numbers, spot.measure, _end(spot), spot.kinds), svg)

    def _spot(self, part: int, spot: Spot, last: int) -> str:
        """A line of music around the spot, two where it does not fit on one."""
        first = max(0, spot.measure - 1)
        until = min(last, max(_end(spot) + 1, first + _SPOT_BARS - 1))
        svg = ""
        for lines in range(1, _LINES + 1):
            svg, end = self._lines(part, first, until, lines, (spot.measure, _end(spot)))
            if end >= _end(spot):
                break
        return svg

    def _lines(
        self, part: int, first: int, last: int, lines: int, tinted: tuple[int, int] | None = None
    ) -> tuple[str, int]:
        if self.clean is None:
            return "", last
        try:
            return self.engraver.engrave(
                self.clean, part=part, measure=first, end_measure=last, lines=lines,
                width_mm=self.width_mm, staff_mm=_STAFF_MM, tinted=tinted,
            )  # fmt: skip
        except ScoreReadError:
            return "", last


def _end(spot: Spot) -> int:
    return spot.measure if spot.end_measure is None else spot.end_measure


def _excerpt(caption: str, svg: str) -> GuideExcerpt:
    return GuideExcerpt(caption if svg else not_drawn(caption), svg)
