"""What a request is about: the toolbox, the ensemble and term in view, typed arguments."""

from collections.abc import Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import date

from flask import Flask, current_app, g, request, session, url_for

from planner.core.change import Author, Door
from planner.core.ensemble import Ensemble
from planner.core.term import Term
from planner.errors import InputError, NotFoundError
from planner.services.ports import UnitOfWork
from planner.services.read_once import read_once
from planner.services.term.terms import parse_date
from planner.services.toolbox import Toolbox
from planner.services.toolbox import changing as changing_library


@dataclass(frozen=True, slots=True)
class PageLink:
    """One entry of the contents line."""

    label: str
    href: str
    is_current: bool


def tools() -> Toolbox:
    """The toolbox of the running application."""
    box: Toolbox = current_app.extensions["toolbox"]
    return box


def reading() -> UnitOfWork:
    """What the page reads the library with: one for the whole request, closed at its end.

    A page that only shows asks the library nothing twice.
    """
    if "reading" not in g:
        g.opened = tools().work()
        opened = g.opened.__enter__()
        g.reading = read_once(opened) if request.method == "GET" else opened
    work: UnitOfWork = g.reading
    return work


def changing() -> AbstractContextManager[UnitOfWork]:
    """One intention of the director: stored at the end of the ``with``, or not at all."""
    return changing_library(tools().work)


def register(app: Flask) -> None:
    """Close what a request read with, however it ended."""
    app.teardown_appcontext(_close)


def _close(error: BaseException | None) -> None:
    work: UnitOfWork | None = g.pop("opened", None)
    if work is not None:
        work.__exit__(type(error) if error else None, error, None)


def author() -> Author:
    """Who sends this request, and when."""
    return Author(Door.PAGE, tools().now())


def ensembles() -> Sequence[Ensemble]:
    """All ensembles, read once for a request."""
    if "ensembles" not in g:
        g.ensembles = reading().ensembles.list_ensembles()
    found: Sequence[Ensemble] = g.ensembles
    return found


def ensemble_in_view() -> Ensemble | None:
    """The ensemble chosen in this browser, else the first; None when there is none yet."""
    if "ensemble" not in g:
        found = ensembles()
        g.ensemble = next((e for e in found if e.id == session.get("ensemble")), found[0] if found else None)
    ensemble: Ensemble | None = g.ensemble
    return ensemble


def terms_in_view() -> Sequence[Term]:
    """The terms of the ensemble in view, by first day."""
    if "terms" not in g:
        ensemble = ensemble_in_view()
        every = reading().terms.list_terms() if ensemble else ()
        g.terms = [term for term in every if ensemble and term.ensemble_id == ensemble.id]
    terms: Sequence[Term] = g.terms
    return terms


def term_in_view() -> Term | None:
    """The term of the ensemble that holds today, else the next, else the last; None when there is none."""
    terms, today = terms_in_view(), tools().today()
    return next((term for term in terms if term.last >= today), terms[-1] if terms else None)


def term_shown(term_id: int) -> tuple[Term, Ensemble]:
    """The term a page is about, and whose it is.

    Raises:
        NotFoundError: If there is no such term.
    """
    term = next((each for each in reading().terms.list_terms() if each.id == term_id), None)
    if term is None:
        raise NotFoundError("term", term_id, hint="Look at the terms of your ensemble.")
    return term, next(each for each in ensembles() if each.id == term.ensemble_id)


def navigation() -> list[PageLink]:
    """The contents line, with the current page marked."""
    term = term_in_view()
    pages = [
        ("Today", url_for("today.show"), "today"),
        ("Library", url_for("library.pieces"), "library"),
        ("Sections", url_for("sections.listing"), "sections"),
        ("Match", url_for("match.show"), "match"),
        ("Term", url_for("term.show", term_id=term.id) if term else url_for("term.new"), "term"),
        ("Gradebook", url_for("gradebook.show"), "gradebook"),
    ]
    within = {
        "day": "term",
        "term_days": "term",
        "plan": "term",
        "levels": "library",
        **dict.fromkeys(("players", "met", "ensembles"), "sections"),
    }
    here = within.get(request.blueprint or "", request.blueprint)
    return [PageLink(label, href, name == here) for label, href, name in pages]


def number_argument(name: str) -> float | None:
    """A number from the address or the form; None when empty.

    Raises:
        InputError: If it is not a number.
    """
    raw = (request.values.get(name) or "").strip().replace(",", ".")
    if not raw:
        return None
    try:
        return float(raw)
    except ValueError:
        raise InputError(f"{name.replace('_', ' ').capitalize()} must be a number, not “{raw}”.") from None


def needed_number(name: str) -> float:
    """A number that must be given.

    Raises:
        InputError: If it is missing or not a number.
    """
    value = number_argument(name)
    if value is None:
        raise InputError(f"{name.replace('_', ' ').capitalize()} is missing.")
    return value


def date_argument(name: str) -> date | None:
    """A date such as 2026-09-01 from the address or the form; None when empty.

    Raises:
        InputError: If it is not a date.
    """
    raw = (request.values.get(name) or "").strip()
    return parse_date(raw) if raw else None
