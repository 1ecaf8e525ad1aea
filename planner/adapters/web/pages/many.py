"""Pages on which many pieces are changed at once: what is changed, a look at it, and storing it."""

from collections.abc import Sequence

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from planner.adapters.web.context import author, changing, ensemble_in_view, reading, term_in_view, tools
from planner.adapters.web.errors import status_of
from planner.adapters.web.forms.find import asked_for, query_of, ticked
from planner.adapters.web.shown import Form, come_back
from planner.errors import ConflictError, InputError
from planner.services.catalogue.columns import LABELS as FIELD_LABELS
from planner.services.finding.edit_many import (
    SETTABLE,
    EditPreview,
    ManyEdit,
    edit_many,
    look_at_edit,
)
from planner.services.finding.find import find_ids
from planner.wording.director.edit_many import LABELS, outcome_words

pages = Blueprint("many", __name__, url_prefix="/library/edit")

MOST_SHOWN = 100
"""Pieces of a preview that are shown one by one; more are counted (house choice)."""
MOST_NAMED = 12
"""Chosen pieces that are named above the form; more are counted (house choice)."""


@pages.get("/")
def show() -> str:
    """What may be changed in the ticked pieces, or in all that the search finds."""
    if request.args.get("every"):
        chosen: Sequence[int] = find_ids(reading(), query_of(asked_for()), tools().today())
    else:
        chosen = ticked(request.args)
    return _page(chosen, dict.fromkeys(LABELS, ""))


@pages.post("/look")
def look() -> str | tuple[str, int]:
    """What the change would do; nothing is stored."""
    chosen, typed = ticked(request.form), _typed()
    try:
        found = look_at_edit(reading(), chosen, _edit(typed))
    except InputError as error:
        return _page(chosen, typed, come_back(error, {}, typed, "", {})), status_of(error)
    return _page(chosen, typed, found=found)


@pages.post("/store")
def store() -> Response | tuple[str, int]:
    """Store what was looked at, as one change."""
    chosen, typed = ticked(request.form), _typed()
    try:
        with changing() as work:
            found, _ = edit_many(
                work, chosen, _edit(typed), by=author(), looked_at=request.form.get("fingerprint", "-")
            )
    except (InputError, ConflictError) as error:
        return _page(chosen, typed, come_back(error, {}, typed, "", {})), status_of(error)
    done = outcome_words(len(found.changed), found.unchanged, len(found.refused), is_done=True)
    flash(f"{done} To take it back, look at the changes.")
    return redirect(url_for("library.pieces"))


def _page(
    chosen: Sequence[int], typed: dict[str, str], form: Form | None = None, found: EditPreview | None = None
) -> str:
    titles = reading().pieces.titles(chosen) if chosen else {}
    there = [piece_id for piece_id in chosen if piece_id in titles]
    return render_template(
        "library/many.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        chosen=there,
        named=[titles[piece_id] for piece_id in there[:MOST_NAMED]],
        typed=typed,
        form=form or Form(typed, ""),
        labels=LABELS,
        fields=FIELD_LABELS,
        found=found,
        outcome=_outcome(found) if found else "",
        most=MOST_SHOWN,
        lists=[one for one in reading().lists.list_saved() if one.search is None],
    )


def _outcome(found: EditPreview) -> str:
    return outcome_words(len(found.changed), found.unchanged, len(found.refused), is_done=False)


def _typed() -> dict[str, str]:
    return {name: request.form.get(name, "") for name in LABELS}


def _edit(typed: dict[str, str]) -> ManyEdit:
    values = {name: typed[name] for name in SETTABLE}
    others = {name: text for name, text in typed.items() if name not in SETTABLE}
    return ManyEdit(values=values, **others)
