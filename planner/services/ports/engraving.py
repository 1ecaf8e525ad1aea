"""Drawing music."""

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import Protocol


class Engraver(Protocol):
    """Draws written music from the clean score that ``FileStore.clean_path_of`` gives.

    Parts and measures are counted as in the profile of the piece: by their place, from 0.
    """

    def engrave(
        self,
        clean: Path,
        *,
        part: int | tuple[int, ...] | None,
        measure: int,
        end_measure: int,
        width_mm: float,
        staff_mm: float = 6.0,
        lines: int = 0,
        tinted: tuple[int, int] | None = None,
    ) -> tuple[str, int]:
        """SVG of written measures of one part, or of several, and the last measure in it.

        Args:
            clean: The clean score.
            part: Its place in the score; several: these together, in score order; None: the full score.
            measure: First measure.
            end_measure: Last measure, included; cut off at the end of the piece.
            width_mm: Width on paper.
            staff_mm: Height of a staff on paper.
            lines: Most lines of music, the passage ending earlier when it needs more, or a wider line for one
                of its bars; 0 for all. Where the first bar needs a wider line it is drawn smaller, and the
                last measure is the one before it.
            tinted: First and last measure to mark, both included.

        Raises:
            ScoreReadError: If the passage is not there or cannot be drawn.
            DrawingBusyError: If too many drawings are under way; a later request is taken.
        """
        ...

    def draw_scale(
        self, clean: Path, *, part: int, measure: int, fifths: int, notes: Sequence[str], width_mm: float,
        staff_mm: float = 6.0,
    ) -> str:  # fmt: skip
        """SVG of notes to finger: without rhythm, on the staff of a part, behind its clef and a signature.

        Args:
            clean: The clean score.
            part: Its place in the score.
            measure: Where its clef is taken from.
            fifths: Sharps of the signature as written for the part, flats below 0.
            notes: Written pitches, in order.
            width_mm: Width on paper.
            staff_mm: Height of a staff on paper.

        Raises:
            ScoreReadError: If the part or the measure is not there, or the notes cannot be drawn.
            DrawingBusyError: As above.
        """
        ...

    def draw_rhythm(
        self, clean: Path, *, part: int, measure: int, counts: Sequence[tuple[float, str]], width_mm: float,
        staff_mm: float = 6.0,
    ) -> str:  # fmt: skip
        """SVG of the rhythm of a bar on one line, with what is counted beneath.

        Args:
            clean: The clean score.
            part: Its place in the score.
            measure: The bar.
            counts: What is counted, and where in quarters from the start of the bar, in order.
            width_mm: Width on paper.
            staff_mm: Height that a staff of five lines would have.

        Raises:
            ScoreReadError: If the part or the measure is not there, or the rhythm cannot be drawn.
            DrawingBusyError: As above.
        """
        ...

    def page_starts(
        self, clean: Path, *, part: int | None, width_mm: float, staff_mm: float = 6.0
    ) -> tuple[int, ...]:
        """First written measure of each page of a part (None: of the full score), in order; 0 comes first.

        A page is what a reader takes in at once: some lines of music, of a large score one. Where it ends
        is reckoned from the notes without drawing any.

        Args:
            clean: The clean score.
            part: Its place in the score.
            width_mm: Width on paper.
            staff_mm: Height of a staff on paper.

        Raises:
            ScoreReadError: If the score cannot be opened or has no such part.
            DrawingBusyError: As above.
        """
        ...

    def first_notes(self, clean: Path, *, part: int, measure: int) -> tuple[str, ...]:
        """The written pitches with which a part begins, from a measure on, in all its voices.

        The highest comes first, as ``core.pitch`` spells them; none where it has no more notes.

        Raises:
            ScoreReadError: If the score cannot be opened.
            DrawingBusyError: As above.
        """
        ...

    def first_played(self, clean: Path, *, part: int) -> int | None:
        """First written measure in which the part has a note; None when it has none.

        Raises:
            ScoreReadError: If the score cannot be opened.
        """
        ...

    def bar_lengths(self, clean: Path) -> tuple[Fraction, ...]:
        """How many quarters each written measure lasts, a short one less than its meter; 0 when it is empty.

        Raises:
            ScoreReadError: If the score cannot be opened.
            DrawingBusyError: As above.
        """
        ...
