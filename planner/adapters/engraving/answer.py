"""What an engraving child does: it draws passages, tells where a part first plays and where pages begin."""

from functools import cache

from planner.adapters.children.messages import Refusal
from planner.adapters.engraving.passage import Drawing, FirstPlayed, PageStarts, Passage, Rhythm, Scale
from planner.adapters.engraving.verovio_engraver import VerovioEngraver
from planner.errors import ScoreReadError


@cache
def _engraver() -> VerovioEngraver:
    return VerovioEngraver()


def answer(request: object) -> object:
    """A ``Drawing``, measures or None; a ``Refusal`` of kind ``score`` when it is not to be had."""
    try:
        if isinstance(request, FirstPlayed):
            return _engraver().first_played(request.clean, part=request.part)
        if isinstance(request, PageStarts):
            return _engraver().page_starts(
                request.clean, part=request.part, width_mm=request.width_mm, staff_mm=request.staff_mm
            )
        if isinstance(request, Scale):
            svg = _engraver().draw_scale(
                request.clean, part=request.part, measure=request.measure, fifths=request.fifths,
                notes=request.notes, width_mm=request.width_mm, staff_mm=request.staff_mm,
            )  # fmt: skip
            return Drawing(svg, request.measure)
        if isinstance(request, Rhythm):
            svg = _engraver().draw_rhythm(
                request.clean, part=request.part, measure=request.measure, counts=request.counts,
                width_mm=request.width_mm, staff_mm=request.staff_mm,
            )  # fmt: skip
            return Drawing(svg, request.measure)
        assert isinstance(request, Passage)
        svg, last = _engraver().engrave(
            request.clean,
            part=request.part,
            measure=request.measure,
            end_measure=request.end_measure,
            width_mm=request.width_mm,
            staff_mm=request.staff_mm,
            lines=request.lines,
            tinted=request.tinted,
        )
        return Drawing(svg, last)
    except ScoreReadError as error:
        return Refusal("score", error.reason)
