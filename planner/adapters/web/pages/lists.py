"""Pages of the lists that the director keeps: all of them, keeping, renaming and removing one."""

from collections.abc import Sequence

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from planner.adapters.web.context import (
    author,
    changing,
    ensemble_in_view,
    ensembles,
    reading,
    term_in_view,
)
from planner.adapters.web.errors import status_of
from planner.adapters.web.forms.find import ticked
from planner.adapters.web.shown import MARK, Form, come_back, first_shown, meet
from planner.core.finding import SavedList
from planner.errors import ConflictError, InputError
from planner.services.entered.numbers import number_of_thing
from planner.services.finding.lists import (
    keep_list,
    list_of,
    put_on_list,
    remove_list,
    rename_list,
    take_off_list,
)
from planner.services.finding.query import FILTERS, read_query
from planner.wording.director.finding import filter_words, moved_words
from planner.wording.words import listed

pages = Blueprint("lists", __name__, url_prefix="/library/lists")


@pages.get("/")
def listing() -> str:
    """All lists."""
    return _page(first_shown({"name": ""}))


def _page(new: Form, renamed: int = 0, form: Form | None = None) -> str:
    lists = reading().lists.list_saved()
    forms = {one.id: form if form and one.id == renamed else first_shown({"name": one.name}) for one in lists}
    titles = reading().pieces.titles(dict.fromkeys(piece for one in lists for piece in one.piece_ids))
    return render_template(
        "library/lists.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        lists=lists,
        titles=titles,
        searches={one.id: _asked(one, lists) for one in lists if one.search is not None},
        new=new,
        forms=forms,
    )


def _asked(saved: SavedList, lists: Sequence[SavedList]) -> str:
    """What a search asks for; why it cannot be asked any more, where an ensemble of it is gone."""
    try:
        query = read_query(saved.search or {}, ensembles(), None)
    except InputError as error:
        return str(error)
    words = (filter_words(name, query, ensembles(), lists) for name in FILTERS)
    return listed([each for each in words if each])


@pages.post("/keep")
def keep() -> Response | tuple[str, int]:
    """Keep a new list: of ticked pieces, of a search, or empty."""
    form, name = request.form, request.form.get("name", "")
    search = {key.removeprefix("search-"): text for key, text in form.items() if key.startswith("search-")}
    try:
        with changing() as work:
            saved = keep_list(work, name, by=author(), piece_ids=ticked(form), search=search or None)
    except (InputError, ConflictError) as error:
        if error.field != "name" and not isinstance(error, ConflictError):
            raise
        error.field = "name"
        new = come_back(error, {"name": ""}, {"name": name}, form.get(MARK, ""), {})
        return _page(new), status_of(error)
    flash(f"“{saved.name}” is kept.")
    return redirect(url_for("lists.listing"))


@pages.post("/<int:list_id>/rename")
def rename(list_id: int) -> Response | tuple[str, int]:
    """Give a list another name; what somebody else called it meanwhile is shown beside."""
    name, mark = request.form.get("name", ""), request.form.get(MARK, "")
    try:
        with changing() as work:
            meet({"name": list_of(work, list_id).name}, {"name": name.strip()}, mark).refuse_overtaken()
            saved = rename_list(work, list_id, name, by=author())
    except (InputError, ConflictError) as error:
        error.field = "name"
        stored = {"name": list_of(reading(), list_id).name}
        form = come_back(error, stored, {"name": name}, mark, {})
        return _page(first_shown({"name": ""}), list_id, form), status_of(error)
    flash(f"The list is called “{saved.name}” now.")
    return redirect(url_for("lists.listing"))


@pages.post("/put")
def put() -> Response:
    """Put ticked pieces on a list."""
    with changing() as work:
        moved = put_on_list(work, _list_asked(), ticked(request.form), by=author())
    flash(moved_words(moved.saved.name, len(moved.moved), len(moved.as_before), is_off=False))
    return redirect(url_for("library.pieces", list=moved.saved.id))


@pages.post("/take-off")
def take_off() -> Response:
    """Take ticked pieces off a list."""
    with changing() as work:
        moved = take_off_list(work, _list_asked(), ticked(request.form), by=author())
    flash(moved_words(moved.saved.name, len(moved.moved), len(moved.as_before), is_off=True))
    return redirect(url_for("lists.listing"))


def _list_asked() -> int:
    number = number_of_thing(request.form.get("list", ""))
    if number is None:
        raise InputError("No list is chosen.", hint="Choose the list, then send it again.")
    return number


@pages.post("/<int:list_id>/remove")
def remove(list_id: int) -> Response:
    """Take a list out; its pieces stay."""
    with changing() as work:
        saved = remove_list(work, list_id, by=author())
    flash(
        f"The list “{saved.name}” is gone; its pieces are still here. To bring it back, look at the changes."
    )
    return redirect(url_for("lists.listing"))
