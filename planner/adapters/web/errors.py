"""Which HTTP status each error gets, and the page that says it."""

import secrets
from http import HTTPStatus

from flask import Flask, current_app, render_template
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException, SecurityError

from planner.adapters.web.access import offers_way_back
from planner.adapters.web.back import way_back
from planner.errors import (
    BackupError,
    ClusterError,
    ConflictError,
    DamagedHomeError,
    ExportError,
    ForeignHomeError,
    HomeError,
    InfeasiblePlanError,
    InputError,
    NewerHomeError,
    NotFoundError,
    OddEntryError,
    PinFailsError,
    PlannerError,
    PlanTimeoutError,
    QuestionError,
    TooFewPiecesError,
    fault_report,
)
from planner.wording.director.conflict import error_words

STATUS: dict[type[PlannerError], HTTPStatus] = {
    InputError: HTTPStatus.UNPROCESSABLE_ENTITY,
    HomeError: HTTPStatus.SERVICE_UNAVAILABLE,
    DamagedHomeError: HTTPStatus.SERVICE_UNAVAILABLE,
    ForeignHomeError: HTTPStatus.SERVICE_UNAVAILABLE,
    NewerHomeError: HTTPStatus.SERVICE_UNAVAILABLE,
    BackupError: HTTPStatus.UNPROCESSABLE_ENTITY,
    NotFoundError: HTTPStatus.NOT_FOUND,
    ConflictError: HTTPStatus.CONFLICT,
    QuestionError: HTTPStatus.CONFLICT,
    OddEntryError: HTTPStatus.CONFLICT,
    InfeasiblePlanError: HTTPStatus.UNPROCESSABLE_ENTITY,
    TooFewPiecesError: HTTPStatus.UNPROCESSABLE_ENTITY,
    PinFailsError: HTTPStatus.UNPROCESSABLE_ENTITY,
    PlanTimeoutError: HTTPStatus.SERVICE_UNAVAILABLE,
    ExportError: HTTPStatus.INTERNAL_SERVER_ERROR,
    ClusterError: HTTPStatus.SERVICE_UNAVAILABLE,
    PlannerError: HTTPStatus.INTERNAL_SERVER_ERROR,
}
_HEADINGS = {
    HTTPStatus.UNPROCESSABLE_ENTITY: "That cannot be used as it is",
    HTTPStatus.FORBIDDEN: "Not open to you",
    HTTPStatus.NOT_FOUND: "Not found",
    HTTPStatus.CONFLICT: "That conflicts with what is already there",
    HTTPStatus.SERVICE_UNAVAILABLE: "Out of time",
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE: "Too large",
}


_KINDS: dict[type[PlannerError], str] = {
    InfeasiblePlanError: "No plan",
    HomeError: "The library cannot be opened",
}
"""Headings of errors that are known by their kind, whatever their status."""


def status_of(error: PlannerError) -> HTTPStatus:
    """Status of an error, by the nearest class in the table.

    Example:
        >>> int(status_of(NotFoundError("piece", 7)))
        404
    """
    return next(STATUS[kind] for kind in type(error).__mro__ if kind in STATUS)


def register(app: Flask) -> None:
    """Add the error pages to an application."""
    app.register_error_handler(PlannerError, _deliberate)
    app.register_error_handler(CSRFError, _stale_form)
    app.register_error_handler(SecurityError, _foreign_name)
    app.register_error_handler(HTTPException, _http)
    app.register_error_handler(Exception, _unexpected)


def _page(
    status: int, message: str, hint: str = "", reference: str = "", heading: str = ""
) -> tuple[str, int]:
    heading = heading or _HEADINGS.get(HTTPStatus(status), "Something went wrong")
    page = render_template(
        "error.html",
        heading=heading,
        message=message,
        hint=hint,
        reference=reference,
        back=way_back(),
        offers_backups=offers_way_back(),
    )
    return page, status


def _deliberate(error: PlannerError) -> tuple[str, int]:
    heading = next((words for kind, words in _KINDS.items() if isinstance(error, kind)), "")
    return _page(status_of(error), *error_words(error), heading=heading)


def _stale_form(_error: CSRFError) -> tuple[str, int]:
    sentence = "It was open too long, or came from another page. Nothing was stored."
    return _page(
        400, sentence, "Go back, reload the page, and send it again.", heading="That form is out of date"
    )


def _foreign_name(_error: SecurityError) -> tuple[str, int]:
    """Plain words: without a trusted name no address for a page can be built."""
    return "The pages answer only under the names of this machine, such as http://127.0.0.1.", 400


def _http(error: HTTPException) -> tuple[str, int]:
    sentences = {
        403: "Your account does not open this page. A director can change what it may do.",
        404: "There is no such page.",
        405: "This address only takes what a form sends.",
        413: "What you sent is larger than 200 MB.",
    }
    code = error.code or 500
    return _page(code, sentences.get(code, error.description or "The request could not be served."))


def _unexpected(error: Exception) -> tuple[str, int]:
    reference = secrets.token_hex(3)
    current_app.logger.error("Reference %s: %s", reference, fault_report(error))
    sentence = "This is a fault of the program, not of yours. Nothing you had stored was changed."
    return _page(500, sentence, reference=reference)
