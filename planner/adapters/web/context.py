"""What a request is about: the toolbox, the ensemble and term in view, typed arguments."""

from collections.abc import Sequence
from contextlib import AbstractContextManager
from datetime import date

from flask import Flask, current_app, g, request, session
from flask_login import UserMixin, current_user

from planner.core.account import Access, Account, SignIn
from planner.core.change import Author, Door
from planner.core.ensemble import Ensemble
from planner.core.term import Term
from planner.errors import HomeError, InputError, NotFoundError
from planner.services.entered.answers import Answers
from planner.services.entered.numbers import entered_number, number_of_thing
from planner.services.entered.words import short
from planner.services.ports.work import UnitOfWork
from planner.services.read_once import read_once
from planner.services.term.terms import parse_date
from planner.services.toolbox import Toolbox
from planner.services.toolbox import changing as changing_library

SURE = "sure"
"""Name of the hidden fields that say yes to a question."""

THIS_MACHINE = Account(0, "", Access.DIRECTOR)
"""Who sits here while there are no accounts."""


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


def local_address(asked: str) -> str:
    """An address that a form or link names to go on to, if it is one of these pages; else empty.

    Example:
        >>> local_address("/term/1"), local_address("//elsewhere.example"), local_address("https://x.example")
        ('/term/1', '', '')
    """
    is_ours = asked.startswith("/") and not asked.startswith(("//", "/\\")) and asked.isprintable()
    return asked if is_ours else ""


class Visitor(UserMixin):  # type: ignore[misc]
    """Somebody logged in, as Flask-Login knows them: by the token of their browser."""

    def __init__(self, token: str, sign_in: SignIn) -> None:
        self.token, self.account = token, sign_in.account

    def get_id(self) -> str:
        """The token."""
        return self.token


def stop_reading() -> None:
    """Let go of the library, so that its files can be written anew; what is asked later opens it again."""
    g.pop("reading", None)
    _close(None)


def account() -> Account | None:
    """Who asks for this page; None for those who have not logged in."""
    if "account" not in g:
        try:
            g.account = _account()
        except HomeError as error:
            g.account, g.trouble = None, error
    found: Account | None = g.account
    return found


def library_trouble() -> HomeError | None:
    """Why the library, and with it the accounts, cannot be opened; None when it can."""
    account()
    found: HomeError | None = g.get("trouble")
    return found


def account_name() -> str:
    """The name of the account; empty without one."""
    found = account()
    return found.name if found else ""


def has_accounts() -> bool:
    """Whether people log in here."""
    return account() is not THIS_MACHINE


def sees(section_id: int) -> bool:
    """Whether players and results of a section are open to whoever asks for this page."""
    who = account()
    return who is not None and who.sees(section_id)


def sees_all() -> bool:
    """Whether everything is open to whoever asks for this page."""
    who = account()
    return who is not None and who.access is Access.DIRECTOR


def own_sections() -> tuple[int, ...] | None:
    """The sections whose results are open to whoever asks for this page; None for all of them."""
    who = account()
    return None if sees_all() else who.section_ids if who is not None else ()


def token_here() -> str:
    """The token of this browser; empty when nobody is logged in on it."""
    return current_user.token if isinstance(current_user._get_current_object(), Visitor) else ""


def forget_browser() -> None:
    """Leave nothing of who used this browser."""
    session.clear()
    g.pop("account", None)


def _account() -> Account | None:
    if isinstance(current_user._get_current_object(), Visitor):
        found: Account = current_user.account
        return found
    return None if reading().accounts.is_any() else THIS_MACHINE


def author() -> Author:
    """Who sends this request, and when."""
    return Author(Door.PAGE, tools().now(), account_name())


def answers() -> Answers:
    """Which questions about odd entries this form says yes to."""
    return Answers(frozenset(request.form.getlist(SURE)))


def ensembles() -> Sequence[Ensemble]:
    """The ensembles that are open to whoever asks, read once for a request: a section leader's own."""
    if "ensembles" not in g:
        every = reading().ensembles.list_ensembles()
        who = account()
        if who is not None and who.access is Access.LEADER:
            every = [each for each in every if any(who.sees(section.id) for section in each.sections)]
        g.ensembles = every
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


def number_argument(name: str) -> float | None:
    """A number from the address or the form; None when empty.

    Raises:
        InputError: If it is not a number.
    """
    return entered_number(request.values.get(name) or "", _spelled(name), field=name)


def whole_argument(name: str) -> int | None:
    """A whole number from the address or the form, such as that of a piece; None when empty.

    Raises:
        InputError: If it is not one.
    """
    raw = (request.values.get(name) or "").strip()
    if not raw:
        return None
    number = number_of_thing(raw)
    if number is None:
        raise InputError(f"{_spelled(name)} must be a whole number, not “{short(raw)}”.", field=name)
    return number


def numbers_sent(name: str) -> tuple[int, ...]:
    """The numbers of what was ticked in a form; what is none is passed over."""
    found = map(number_of_thing, request.form.getlist(name))
    return tuple(number for number in found if number is not None)


def _spelled(name: str) -> str:
    return name.replace("_", " ").capitalize()


def needed_number(name: str) -> float:
    """A number that must be given.

    Raises:
        InputError: If it is missing or not a number.
    """
    value = number_argument(name)
    if value is None:
        raise InputError(f"{_spelled(name)} is missing.", field=name)
    return value


def needed_whole(name: str) -> int:
    """A whole number that must be given.

    Raises:
        InputError: If it is missing or not one.
    """
    value = whole_argument(name)
    if value is None:
        raise InputError(f"{_spelled(name)} is missing.", field=name)
    return value


def date_argument(name: str) -> date | None:
    """A date such as 2026-09-01 from the address or the form; None when empty.

    Raises:
        InputError: If it is not a date.
    """
    raw = (request.values.get(name) or "").strip()
    try:
        return parse_date(raw) if raw else None
    except InputError as error:
        error.field = name
        raise
