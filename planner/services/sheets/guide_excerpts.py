"""The music on a player's sheet: drawn beside its words where it fits there, else beneath."""

from dataclasses import dataclass
from pathlib import Path

from planner.errors import DrawingBusyError, ScoreReadError
from planner.services.ports.engraving import Engraver
from planner.services.sheets.player.line import Line, Music, PassageMusic, RhythmMusic, ScaleMusic
from planner.services.sheets.views import GuideLine, SheetKind

STAFF_MM = 6.2
"""Height of a staff. House choice, so that a page holds them; printed parts have 6.5 to 7.5 mm."""
BESIDE_MM = 90.0
"""Width of music beside its words."""
HEADINGS_MM = 25.0
"""What headings beside the lines take of a page; in large print they stand above. Source: the layout."""
_MOST_LINES = 3
"""Lines of music of a passage that one line of the page does not hold. House choice."""
LARGE_STAFF_MM = 9.0
"""Height of a staff in large print: as much taller as its words are. House choice."""


@dataclass(frozen=True, slots=True)
class Drawer:
    """Draws for one piece; ``clean`` is None when it cannot.

    Attributes:
        width_mm: What a whole line takes.
        beside_mm: Width of music beside its words.
        staff_mm: Height of a staff.
    """

    engraver: Engraver
    clean: Path | None
    width_mm: float
    beside_mm: float = BESIDE_MM
    staff_mm: float = STAFF_MM

    def drawn(self, line: Line, part: int) -> GuideLine:
        """A line with its music; where it cannot be drawn the words that speak of none.

        Args:
            line: The line.
            part: Place of the part in the score.

        Raises:
            DrawingBusyError: If it could be drawn, but not now.
        """
        if line.music is None or self.clean is None:
            return _without_music(line)
        try:
            svg, width = self._music(self.clean, part, line.music)
        except DrawingBusyError:
            raise
        except ScoreReadError:
            return _without_music(line)
        return GuideLine(line.text, svg, width)

    def _music(self, clean: Path, part: int, music: Music) -> tuple[str, float]:
        draw = self.engraver
        if isinstance(music, ScaleMusic):
            svg = draw.draw_scale(
                clean, part=part, measure=music.measure, fifths=music.fifths, notes=music.notes,
                width_mm=self.beside_mm, staff_mm=self.staff_mm,
            )  # fmt: skip
            return svg, self.beside_mm
        if isinstance(music, RhythmMusic):
            svg = draw.draw_rhythm(
                clean, part=part, measure=music.measure, counts=music.counts, width_mm=self.beside_mm,
                staff_mm=self.staff_mm,
            )  # fmt: skip
            return svg, self.beside_mm
        return self._passage(clean, part, music)

    def _passage(self, clean: Path, part: int, music: PassageMusic) -> tuple[str, float]:
        """The narrow drawing where one line holds the tinted bars, else one of the whole width."""
        needed = music.tinted[1] if music.tinted else music.end_measure
        for width, lines in ((self.beside_mm, 1), (self.width_mm, 1), (self.width_mm, _MOST_LINES)):
            svg, last = self.engraver.engrave(
                clean, part=part, measure=music.measure, end_measure=music.end_measure, width_mm=width,
                staff_mm=self.staff_mm, lines=lines, tinted=music.tinted,
            )  # fmt: skip
            if last >= needed:
                break
        return svg, width


def _without_music(line: Line) -> GuideLine:
    return GuideLine(line.alone or line.text)


def drawer_for(
    engraver: Engraver, clean: Path | None, *, line_mm: float, kind: SheetKind = SheetKind.PLAIN
) -> Drawer:
    """What draws for a kind of sheet: in large print all music takes the whole width of the page.

    Args:
        engraver: Draws.
        clean: The clean score; None when it cannot be drawn.
        line_mm: Width of a line of music on the page, its headings beside it.
        kind: Which version of the sheet.
    """
    if kind is SheetKind.LARGE_PRINT:
        whole = line_mm + HEADINGS_MM
        return Drawer(engraver, clean, whole, whole, LARGE_STAFF_MM)
    return Drawer(engraver, clean, line_mm)
