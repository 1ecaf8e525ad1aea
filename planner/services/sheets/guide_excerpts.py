"""The music on a player's sheet: drawn beside its words where it fits there, else beneath."""

from dataclasses import dataclass
from pathlib import Path

from planner.errors import ScoreReadError
from planner.services.ports import Engraver
from planner.services.sheets.player.line import Line, Music, PassageMusic, RhythmMusic, ScaleMusic
from planner.services.sheets.views import GuideLine

STAFF_MM = 6.6
"""Height of a staff. Source: common practice; printed parts have 6.5 to 7.5 mm."""
BESIDE_MM = 90.0
"""Width of music beside its words."""


@dataclass(frozen=True, slots=True)
class Drawer:
    """Draws for one piece; ``clean`` is None when it cannot, ``width_mm`` what a whole line takes."""

    engraver: Engraver
    clean: Path | None
    width_mm: float

    def drawn(self, line: Line, part: int) -> GuideLine:
        """A line with its music; the words alone where it cannot be drawn.

        Args:
            line: The line.
            part: Place of the part in the score.
        """
        if line.music is None or self.clean is None:
            return GuideLine(line.text)
        try:
            svg, width = self._music(self.clean, part, line.music)
        except ScoreReadError:
            return GuideLine(line.text)
        return GuideLine(line.text, svg, width)

    def _music(self, clean: Path, part: int, music: Music) -> tuple[str, float]:
        draw = self.engraver
        if isinstance(music, ScaleMusic):
            svg = draw.draw_scale(
                clean, part=part, measure=music.measure, fifths=music.fifths, notes=music.notes,
                width_mm=BESIDE_MM, staff_mm=STAFF_MM,
            )  # fmt: skip
            return svg, BESIDE_MM
        if isinstance(music, RhythmMusic):
            svg = draw.draw_rhythm(
                clean, part=part, measure=music.measure, counts=music.counts, width_mm=BESIDE_MM,
                staff_mm=STAFF_MM,
            )  # fmt: skip
            return svg, BESIDE_MM
        return self._passage(clean, part, music)

    def _passage(self, clean: Path, part: int, music: PassageMusic) -> tuple[str, float]:
        """The narrow drawing where one line holds the tinted bars, else one of the whole width."""
        needed = music.tinted[1] if music.tinted else music.end_measure
        for width in (BESIDE_MM, self.width_mm):
            svg, last = self.engraver.engrave(
                clean, part=part, measure=music.measure, end_measure=music.end_measure, width_mm=width,
                staff_mm=STAFF_MM, lines=1, tinted=music.tinted,
            )  # fmt: skip
            if last >= needed:
                break
        return svg, width
