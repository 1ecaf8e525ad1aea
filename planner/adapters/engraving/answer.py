"""What an engraving child does: it draws passages, and tells where a part first plays."""

from functools import cache

from planner.adapters.children.messages import Refusal
from planner.adapters.engraving.passage import Drawing, FirstPlayed, Passage
from planner.adapters.engraving.verovio_engraver import VerovioEngraver
from planner.errors import ScoreReadError


@cache
def _engraver() -> VerovioEngraver:
    return VerovioEngraver()


def answer(request: object) -> object:
    """A ``Drawing``, a measure or None; a ``Refusal`` of kind ``score`` when it is not to be had."""
    try:
        if isinstance(request, FirstPlayed):
            return _engraver().first_played(request.clean, part=request.part)
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
