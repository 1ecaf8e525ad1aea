"""Who may do what: one table of all pages, and the door that holds every request against it.

What stands in no row is closed to everyone. While there are no accounts, whoever sits at this machine may do
everything, and nobody else gets a page.
"""

import ipaddress
from collections.abc import Mapping
from contextlib import suppress
from enum import Enum
from urllib.parse import urlsplit

from flask import Flask, abort, current_app, flash, redirect, request, session, url_for
from flask_login import LoginManager
from werkzeug.exceptions import SecurityError
from werkzeug.wrappers import Response

from planner.adapters.web.context import (
    THIS_MACHINE,
    Visitor,
    account,
    changing,
    library_trouble,
    reading,
    tools,
)
from planner.core.account import Access, Account
from planner.errors import ConflictError, NotFoundError
from planner.services.accounts.sign_in import SEEN_EVERY, signed_in
from planner.services.people.find import find_section


class Gate(Enum):
    """To whom a page is open."""

    EVERYONE = frozenset({*Access, None})
    """Also to those who have not logged in."""
    SIGNED_IN = frozenset(Access)
    LEADERS = frozenset({Access.DIRECTOR, Access.LEADER})
    """Section leaders for what is their own."""
    DIRECTOR = frozenset({Access.DIRECTOR})

    def is_open_to(self, access: Access | None) -> bool:
        """Whether it opens to an account of that kind; None for those who have not logged in."""
        return access in self.value


GATES: Mapping[str, Gate] = {
    "static": Gate.EVERYONE,
    "sign_in.show": Gate.EVERYONE,
    "sign_in.enter": Gate.EVERYONE,
    "sign_in.leave": Gate.SIGNED_IN,
    "sign_in.password": Gate.SIGNED_IN,
    "sign_in.own_password": Gate.SIGNED_IN,
    "accounts.listing": Gate.DIRECTOR,
    "accounts.add": Gate.DIRECTOR,
    "accounts.change": Gate.DIRECTOR,
    "accounts.remove": Gate.DIRECTOR,
    "accounts.password": Gate.DIRECTOR,
    "accounts.names": Gate.DIRECTOR,
    "accounts.forget": Gate.DIRECTOR,
    "today.show": Gate.SIGNED_IN,
    "library.pieces": Gate.SIGNED_IN,
    "library.piece": Gate.SIGNED_IN,
    "library.opening": Gate.SIGNED_IN,
    "score.show": Gate.SIGNED_IN,
    "score.drawn": Gate.SIGNED_IN,
    "beat.show": Gate.SIGNED_IN,
    "beat.sheet": Gate.SIGNED_IN,
    "library.add": Gate.DIRECTOR,
    "library.apart": Gate.DIRECTOR,
    "library.copies": Gate.DIRECTOR,
    "library.correct": Gate.DIRECTOR,
    "library.met": Gate.DIRECTOR,
    "library.remove": Gate.DIRECTOR,
    "library.same": Gate.DIRECTOR,
    "lists.listing": Gate.DIRECTOR,
    "lists.keep": Gate.DIRECTOR,
    "lists.rename": Gate.DIRECTOR,
    "lists.put": Gate.DIRECTOR,
    "lists.take_off": Gate.DIRECTOR,
    "lists.remove": Gate.DIRECTOR,
    "many.show": Gate.DIRECTOR,
    "many.look": Gate.DIRECTOR,
    "many.store": Gate.DIRECTOR,
    "alike.listing": Gate.DIRECTOR,
    "alike.join": Gate.DIRECTOR,
    "alike.separate": Gate.DIRECTOR,
    "alike.ask_again": Gate.DIRECTOR,
    "catalogue.show": Gate.DIRECTOR,
    "catalogue.hand_in": Gate.DIRECTOR,
    "catalogue.look": Gate.DIRECTOR,
    "catalogue.store": Gate.DIRECTOR,
    "catalogue.enter": Gate.DIRECTOR,
    "catalogue.join": Gate.DIRECTOR,
    "catalogue.give_out": Gate.DIRECTOR,
    "imports.start": Gate.DIRECTOR,
    "imports.show": Gate.DIRECTOR,
    "imports.look": Gate.DIRECTOR,
    "imports.undo": Gate.DIRECTOR,
    "levels.show": Gate.DIRECTOR,
    "levels.checks": Gate.DIRECTOR,
    "levels.criteria": Gate.DIRECTOR,
    "levels.correct": Gate.DIRECTOR,
    "levels.instrument": Gate.DIRECTOR,
    "levels.remove": Gate.DIRECTOR,
    "sections.listing": Gate.DIRECTOR,
    "sections.choose": Gate.SIGNED_IN,
    "sections.create": Gate.DIRECTOR,
    "sections.table": Gate.DIRECTOR,
    "sections.from_piece": Gate.DIRECTOR,
    "sections.edit": Gate.DIRECTOR,
    "sections.start": Gate.DIRECTOR,
    "sections.take_back": Gate.DIRECTOR,
    "sections.levels": Gate.DIRECTOR,
    "sections.level": Gate.LEADERS,
    "sections.remove": Gate.DIRECTOR,
    "players.listing": Gate.DIRECTOR,
    "players.table": Gate.DIRECTOR,
    "players.add": Gate.DIRECTOR,
    "players.back": Gate.DIRECTOR,
    "players.preview": Gate.DIRECTOR,
    "players.take": Gate.DIRECTOR,
    "person.show": Gate.DIRECTOR,
    "person.records": Gate.DIRECTOR,
    "person.look": Gate.DIRECTOR,
    "person.delete": Gate.DIRECTOR,
    "person.look_at": Gate.DIRECTOR,
    "person.join": Gate.DIRECTOR,
    "met.listing": Gate.DIRECTOR,
    "met.note": Gate.DIRECTOR,
    "met.withdraw": Gate.DIRECTOR,
    "ensembles.listing": Gate.DIRECTOR,
    "ensembles.rename": Gate.DIRECTOR,
    "ensembles.remove": Gate.DIRECTOR,
    "match.show": Gate.DIRECTOR,
    "term.show": Gate.SIGNED_IN,
    "term.new": Gate.DIRECTOR,
    "term.edit": Gate.DIRECTOR,
    "term.plan": Gate.DIRECTOR,
    "term.remove": Gate.DIRECTOR,
    "term.wish": Gate.DIRECTOR,
    "term.download": Gate.DIRECTOR,
    "term_days.change": Gate.DIRECTOR,
    "term_days.cancel": Gate.DIRECTOR,
    "term_days.reopen": Gate.DIRECTOR,
    "term_days.move": Gate.DIRECTOR,
    "term_days.put": Gate.DIRECTOR,
    "term_days.set_one": Gate.DIRECTOR,
    "term_days.swap": Gate.DIRECTOR,
    "plan.known": Gate.DIRECTOR,
    "plan.choices": Gate.DIRECTOR,
    "plan.proposal": Gate.DIRECTOR,
    "plan.decide": Gate.DIRECTOR,
    "day.show": Gate.SIGNED_IN,
    "day.guides": Gate.DIRECTOR,
    "day.guide": Gate.SIGNED_IN,
    "day.director": Gate.DIRECTOR,
    "day.section": Gate.SIGNED_IN,
    "sheet.show": Gate.SIGNED_IN,
    "results.show": Gate.LEADERS,
    "results.save": Gate.LEADERS,
    "results.fill": Gate.LEADERS,
    "results.undo": Gate.LEADERS,
    "room.show": Gate.SIGNED_IN,
    "room.state": Gate.SIGNED_IN,
    "room.press": Gate.DIRECTOR,
    "room.choose": Gate.DIRECTOR,
    "score.page": Gate.SIGNED_IN,
    "attendance.show": Gate.LEADERS,
    "attendance.save": Gate.LEADERS,
    "attendance.marks": Gate.LEADERS,
    "attendance.save_marks": Gate.LEADERS,
    "scoring_form.shape": Gate.DIRECTOR,
    "scoring_form.save_shape": Gate.DIRECTOR,
    "scoring_form.choose": Gate.DIRECTOR,
    "scoring_form.download": Gate.LEADERS,
    "scoring_form.download_day": Gate.LEADERS,
    "scoring_form.fill": Gate.LEADERS,
    "scoring_form.save_points": Gate.LEADERS,
    "gradebook.show": Gate.LEADERS,
    "gradebook.section": Gate.LEADERS,
    "gradebook.player": Gate.LEADERS,
    "gradebook.scheme": Gate.DIRECTOR,
    "gradebook.save_scheme": Gate.DIRECTOR,
    "gradebook.download": Gate.LEADERS,
    "read_in.day": Gate.LEADERS,
    "read_in.worksheet": Gate.LEADERS,
    "read_in.tally": Gate.LEADERS,
    "read_in.hand_in": Gate.LEADERS,
    "read_in.look": Gate.LEADERS,
    "read_in.take": Gate.LEADERS,
    "school_file.show": Gate.DIRECTOR,
    "school_file.save": Gate.DIRECTOR,
    "school_file.download": Gate.DIRECTOR,
    "backups.listing": Gate.DIRECTOR,
    "backups.make": Gate.DIRECTOR,
    "backups.file": Gate.DIRECTOR,
    "backups.check": Gate.DIRECTOR,
    "backups.restore": Gate.DIRECTOR,
    "backups.ask": Gate.DIRECTOR,
    "backups.remove": Gate.DIRECTOR,
    "backups.take_in": Gate.DIRECTOR,
    "changes.listing": Gate.DIRECTOR,
    "changes.undo": Gate.DIRECTOR,
    "jobs.listing": Gate.DIRECTOR,
    "jobs.state": Gate.DIRECTOR,
    "jobs.restudy": Gate.DIRECTOR,
    "jobs.close": Gate.DIRECTOR,
    "jobs.stop": Gate.DIRECTOR,
    "jobs.resume": Gate.DIRECTOR,
    "reports.listing": Gate.LEADERS,
    "reports.section": Gate.LEADERS,
    "reports.player": Gate.LEADERS,
    "reports.term": Gate.DIRECTOR,
    "reports.download_section": Gate.LEADERS,
    "reports.download_player": Gate.LEADERS,
    "reports.download_term": Gate.DIRECTOR,
}
"""To whom each page is open, by its endpoint and for all its methods."""


WAY_BACK = ("backups.listing", "backups.check", "backups.restore", "backups.take_in")
"""Open at this machine also when the library, and with it the accounts, cannot be opened.

They lead back to a sound one, show names of files and counts alone, and set aside what lay there; a backup
that lies elsewhere may come in, as it is looked through first.
"""


def offers_way_back() -> bool:
    """Whether whoever asks for this page can go back to a backup, because the library cannot be opened."""
    return library_trouble() is not None and _comes_from_here()


def register(app: Flask) -> None:
    """Put the door before every page of an application; it opens before forms are looked at."""
    manager = LoginManager(app)
    manager.session_protection = None
    manager.user_loader(_visitor)
    app.before_request(_admit)
    app.jinja_env.globals.update(may=may)


def may(endpoint: str) -> bool:
    """Whether whoever asks for this page may open, or send a form to, another one."""
    gate, who = GATES.get(endpoint), account()
    return gate is not None and gate.is_open_to(who.access if who else None)


def is_this_machine(address: str) -> bool:
    """Whether an address, or the name of a host, means this machine itself.

    Example:
        >>> [is_this_machine(a) for a in ("127.0.0.1", "::1", "localhost", "10.0.0.7", "planner.local", "")]
        [True, True, True, False, False, False]
    """
    with suppress(ValueError):
        parsed = ipaddress.ip_address(address.strip("[]").partition("%")[0])
        mapped = getattr(parsed, "ipv4_mapped", None)
        return (mapped or parsed).is_loopback
    return address == "localhost"


def _visitor(token: str) -> Visitor | None:
    """Who a browser belongs to, while they are logged in."""
    now = tools().now()
    found = signed_in(reading(), token, now)
    if found is None:
        return None
    if now - found.seen > SEEN_EVERY:
        with suppress(ConflictError), changing() as work:
            work.accounts.see(token, now)
    return Visitor(token, found)


def _admit() -> Response | None:
    """Let a request in, or send it away; what has no row in the table stays closed."""
    if isinstance(request.routing_exception, SecurityError):
        raise request.routing_exception  # under a foreign name there is no page, and no way to one
    gate = GATES.get(request.endpoint or "")
    if gate is Gate.EVERYONE and request.endpoint == "static":
        return None
    who = account()
    if (trouble := library_trouble()) is not None:
        if request.endpoint in WAY_BACK and _comes_from_here():
            return None
        raise trouble
    if who is THIS_MACHINE and not _comes_from_here():
        return _not_from_elsewhere()
    if gate is Gate.EVERYONE:
        return None
    if who is None:
        return _to_log_in()
    if request.endpoint is None:
        return None  # there is no such page: the page that says so
    if gate is None or not gate.is_open_to(who.access) or not _is_own(who):
        abort(403)
    return None


def _comes_from_here() -> bool:
    host = urlsplit(f"//{request.host}").hostname or ""
    return is_this_machine(request.remote_addr or "") and is_this_machine(host)


def _not_from_elsewhere() -> Response:
    sentence = (
        "These pages answer only on the machine they run on, because nobody has an account yet. "
        "There, open “People with access” and give yourself a name and a password.\n"
    )
    return current_app.response_class(sentence, 403, mimetype="text/plain")


def _to_log_in() -> Response:
    """To the page where one logs in, and from there back to what was asked for."""
    if session.pop("_user_id", None) is not None:
        flash("You were logged out: the time was up, or your password was changed.", "warning")
    if request.method != "GET":
        flash("Nothing was stored. Log in, then send it again.", "warning")
        return redirect(url_for("sign_in.show"), 303)
    asked = request.full_path if request.query_string else request.path
    back = asked if request.endpoint and asked != "/" else None
    return redirect(url_for("sign_in.show", to=back))


def _is_own(who: Account) -> bool:
    """Whether what the address names is a section leader's own; directors and viewers are not held to it."""
    if who.access is not Access.LEADER:
        return True
    named = request.view_args or {}
    with suppress(NotFoundError):  # what is not there is told by its page
        if "section_id" in named:
            find_section(reading(), named["section_id"])
            return who.sees(named["section_id"])
        if "term_id" in named:
            terms = {term.id: term for term in reading().terms.list_terms()}
            if named["term_id"] in terms:
                ensemble = reading().ensembles.get(terms[named["term_id"]].ensemble_id)
                return any(who.sees(section.id) for section in ensemble.sections)
    return True
