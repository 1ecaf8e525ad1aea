"""The answer to a page that saves as you go: what is stored now, or why a line was not taken."""

from collections.abc import Mapping
from http import HTTPStatus

from flask import Response, jsonify, request

from planner.adapters.web.errors import status_of
from planner.adapters.web.shown import Form, Values, mark_of
from planner.errors import PlannerError


def is_asked_as_you_go() -> bool:
    """Whether a script sends a line, rather than a form that leads to a page."""
    return request.accept_mimetypes.best == "application/json"


def kept(
    values: Values, words: str, change: int | None = None, notes: Mapping[str, str] | None = None
) -> Response:
    """That a line was stored.

    Args:
        values: All values of the form as they are stored now.
        words: What was done.
        change: The entry of the journal by which it can be taken back; None where nothing was changed.
        notes: Further words, by what they are about.
    """
    return jsonify(
        {
            "values": dict(values),
            "mark": mark_of(values),
            "words": words,
            "change": change,
            "notes": notes or {},
        }
    )


def not_kept(error: PlannerError, form: Form, stored: Values) -> tuple[Response, HTTPStatus]:
    """Why a line was not stored, with what the page needs to ask once more.

    Args:
        error: Why.
        form: The form as it would come back.
        stored: What is stored now.
    """
    answer = {
        "refused": form.refused, "about": form.about, "beside": dict(form.beside), "mark": form.mark,
        "stored": {name: stored[name] for name in form.beside},
        "asked": [{"key": each.key, "sentence": each.sentence, "field": each.field} for each in form.asked],
    }  # fmt: skip
    return jsonify(answer), status_of(error)
