"""The page that says what the ensemble can read: a grid of pieces and sections."""

from dataclasses import dataclass
from functools import partial

from flask import Blueprint, render_template, request, url_for

from planner.adapters.web.context import (
    ensemble_in_view,
    ensembles,
    number_argument,
    reading,
    term_in_view,
    tools,
    whole_argument,
)
from planner.adapters.web.forms.term import wish_mark
from planner.adapters.web.turns import takes_turns
from planner.core.difficulty import FOCUSES
from planner.core.ensemble import Ensemble
from planner.levels.readable import EASY_ABOVE, HARD_BELOW
from planner.scheduling.problem import Limits
from planner.services.match.match_grid import (
    ANYBODY,
    PAGE_ROWS,
    GridQuery,
    GridRoom,
    Order,
    Shown,
    match_grid,
)

pages = Blueprint("match", __name__, url_prefix="/match")

_BEST_FIRST = {Order.WORST}
"""Columns whose best is the highest figure: the first click puts it on top."""


@dataclass(frozen=True, slots=True)
class SortLink:
    """The heading of a column.

    Attributes:
        label: What it says.
        href: Where a click leads.
        sorted: ``ascending``, ``descending`` or ``none``, as browsers and screen readers know it.
        css: Class of its cells.
    """

    label: str
    href: str
    sorted: str
    css: str = ""


@pages.get("/")
@takes_turns
def show() -> str:
    """Pieces by rows and sections by columns, narrowed and sorted by the address."""
    ensemble, term = ensemble_in_view(), term_in_view()
    if ensemble is None or not ensemble.sections:
        return render_template("match/show.html", ensemble=ensemble, term=term, grid=None)
    query, today = _query(ensemble), tools().today()
    terms = reading().terms
    planned = terms.planned([each.id for each in terms.list_terms()])
    room = GridRoom(
        ensemble,
        today,
        term,
        planned.get(term.id, ()) if term else (),
        terms.wishes(term.id) if term else (),
    )
    grid = match_grid(reading(), room, query, Limits().lost)
    return render_template(
        "match/show.html",
        ensemble=ensemble,
        ensembles=ensembles(),
        term=term,
        wish_mark=partial(wish_mark, room.wishes),
        grid=grid,
        query=query,
        headings=_headings(query),
        focuses=FOCUSES,
        anybody=ANYBODY,
        low=round(100 * HARD_BELOW),
        high=round(100 * EASY_ABOVE),
        days=[on for on in term.reading_dates() if on >= today] if term else [],
        shown=[(one, _address(show=one, offset=None)) for one in Shown],
        previous=_address(offset=max(0, query.offset - PAGE_ROWS)) if query.offset else None,
        following=_address(offset=grid.last) if grid.last < grid.total else None,
    )


def _query(ensemble: Ensemble) -> GridQuery:
    asked = request.args
    fresh_for = asked.get("fresh", "")
    known = {str(ANYBODY), *(str(section.id) for section in ensemble.sections)}
    return GridQuery(
        show={str(one): one for one in Shown}.get(asked.get("show", ""), Shown.READY),
        order={str(one): one for one in Order}.get(asked.get("order", ""), Order.COST),
        is_falling=asked.get("down") == "1",
        focus=asked["focus"] if asked.get("focus") in FOCUSES else "",
        minutes=number_argument("minutes"),
        key=asked.get("key", ""),
        text=asked.get("text", "").strip(),
        fresh_for=int(fresh_for) if fresh_for in known else None,
        offset=max(0, whole_argument("offset") or 0),
    )


def _headings(query: GridQuery) -> dict[str, SortLink]:
    return {
        "title": _heading(query, Order.TITLE, "Piece"),
        "level": _heading(query, Order.LEVEL, "Level", "number"),
        "minutes": _heading(query, Order.MINUTES, "Minutes", "number"),
        "worst": _heading(query, Order.WORST, "Hardest for"),
        "cost": _heading(query, Order.COST, "Off aim", "number"),
    }


def _heading(query: GridQuery, order: Order, label: str, css: str = "") -> SortLink:
    is_here = query.order is order
    falls = not query.is_falling if is_here else order in _BEST_FIRST
    here = "none" if not is_here else "descending" if query.is_falling else "ascending"
    return SortLink(label, _address(order=order, down="1" if falls else None, offset=None), here, css)


def _address(**changed: object) -> str:
    """This page with some of what its address asks for changed; None takes it out."""
    asked: dict[str, object] = dict(request.args.items())
    asked.update(changed)
    kept = {name: value for name, value in asked.items() if value not in (None, "")}
    return url_for("match.show", **kept)  # type: ignore[arg-type]
