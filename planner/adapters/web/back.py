"""The way back from an error to the page whose form or link was refused."""

from collections.abc import Iterator
from urllib.parse import urlsplit

from flask import current_app, request
from werkzeug.exceptions import HTTPException
from werkzeug.routing import RequestRedirect

from planner.adapters.web.navigation import PageLink

_WORDS = {
    "today.show": "today's page",
    "library.pieces": "the library",
    "library.piece": "the piece",
    "lists.listing": "the lists",
    "many.show": "the change of several pieces",
    "score.show": "the score",
    "beat.show": "the metronome of the piece",
    "alike.listing": "the same music twice",
    "catalogue.show": "the catalog",
    "catalogue.look": "the list",
    "imports.show": "the import",
    "imports.look": "the import",
    "levels.show": "the levels of the piece",
    "levels.checks": "the parts and sections of the piece",
    "levels.criteria": "the published limits of the piece",
    "sections.listing": "the sections",
    "sections.edit": "the section",
    "sections.levels": "the levels over the term",
    "sections.level": "the section over the term",
    "players.listing": "the players",
    "person.show": "the records of the player",
    "person.look": "the records of the player",
    "person.look_at": "the two entries",
    "met.listing": "what they have met",
    "ensembles.listing": "the ensembles",
    "match.show": "the match",
    "term.show": "the term",
    "term.edit": "the dates of the term",
    "term.new": "the new term",
    "term_days.change": "the day",
    "plan.proposal": "the new plan",
    "plan.choices": "the other pieces for the day",
    "plan.known": "the pieces that somebody knows",
    "day.show": "the reading day",
    "sheet.show": "the sheet",
    "room.show": "the page for the room",
    "attendance.show": "who is here",
    "results.show": "the results of the day",
    "attendance.marks": "the marks of the day",
    "scoring_form.shape": "the scoring form of the term",
    "scoring_form.fill": "the scoring form",
    "gradebook.show": "the gradebook",
    "gradebook.section": "the marks of the section",
    "gradebook.player": "the marks of the player",
    "gradebook.scheme": "how marks are worked out",
    "read_in.day": "the worksheet of the day",
    "read_in.look": "the file",
    "school_file.show": "the file for the school's system",
    "jobs.listing": "work under way",
    "changes.listing": "the changes",
    "backups.listing": "the backups",
    "backups.restore": "the backup",
    "backups.ask": "the backup",
    "sign_in.show": "the page to log in",
    "sign_in.password": "your password",
    "accounts.listing": "the people with access",
    "accounts.names": "the names of accounts",
    "reports.listing": "the reports",
    "reports.section": "the report",
    "reports.player": "the report",
    "reports.term": "the report",
}
"""What the pages that hold forms and links are called in a sentence, by their endpoint."""


def way_back() -> PageLink | None:
    """The page that this request came from, if it is one of ours; None when there is none to go back to.

    A browser that does not name the page is taken to that of the form, where form and answer share an
    address. No address of another site, and none that is not a page here, ever becomes a link.
    """
    for path, query in _candidates():
        words = _WORDS.get(_endpoint(path))
        if words and not (request.method == "GET" and path == request.path):
            return PageLink(f"Back to {words}", f"{path}?{query}" if query else path, is_current=False)
    return None


def _candidates() -> Iterator[tuple[str, str]]:
    """Path and query of the pages that may have sent this request."""
    try:
        named = urlsplit(request.referrer or "")
    except ValueError:
        named = urlsplit("")
    if named.scheme in ("http", "https") and named.netloc == request.host:
        yield named.path, named.query
    yield request.path, ""


def _endpoint(path: str) -> str:
    """What answers a visit of this path; empty when nothing does."""
    adapter = current_app.create_url_adapter(request)
    assert adapter is not None, "there is always one within a request"
    try:
        endpoint, _ = adapter.match(path, method="GET")
    except (HTTPException, RequestRedirect):
        return ""
    return str(endpoint)
