"""Pages of the catalog as a whole: lists taken in and given out, pieces that exist on paper."""

from collections.abc import Mapping
from functools import partial

from flask import Blueprint, Response, flash, redirect, render_template, request, url_for
from werkzeug.utils import secure_filename
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import (
    author,
    changing,
    ensemble_in_view,
    reading,
    term_in_view,
    tools,
    whole_argument,
)
from planner.adapters.web.download import as_download
from planner.adapters.web.pages.library import piece_named
from planner.core.catalogue import CATALOGUE
from planner.core.table import Table, TableChoice, column_letters
from planner.errors import InputError
from planner.services.catalogue.columns import LABELS, TARGETS, Columns, checked_targets, guess_columns
from planner.services.catalogue.give_out import give_out_catalogue
from planner.services.catalogue.join import join_score
from planner.services.catalogue.preview import Preview, preview
from planner.services.catalogue.store import check_looked_at, enter_piece, store_rows
from planner.services.library.typed import read_values
from planner.wording.director.catalogue import WORDS
from planner.wording.director.catalogue_file import counts_sentence
from planner.wording.director.on_paper import lacks_note

pages = Blueprint("catalogue", __name__, url_prefix="/library/catalog")

MOST_SHOWN = 100
"""Rows of each kind that a page shows; more are counted (house choice)."""
SAMPLES = 2
"""Rows below the headings that are shown beside each column (house choice)."""
_SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "pipe"}
_ENCODINGS = {
    "utf-8": "UTF-8", "utf-16": "UTF-16", "cp1252": "Windows", "latin-1": "Latin-1", "mac_roman": "Mac",
}  # fmt: skip


@pages.get("/")
def show(typed: Mapping[str, str] | None = None, refusal: InputError | None = None) -> str:
    """Where lists go in and out, and where a piece on paper is entered."""
    return render_template(
        "catalogue/show.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        fields=[(field, WORDS[field.name]) for field in CATALOGUE],
        typed=typed or {},
        refusal=refusal,
    )


@pages.post("/hand-in")
def hand_in() -> BaseResponse:
    """Keep a list for a while, and show what taking it in would do."""
    upload = request.files.get("list")
    if upload is None or not upload.filename:
        raise InputError("No file was chosen.", hint="Choose a workbook (.xlsx) or a text file (.csv).")
    arrival = tools().inbox.open()
    tools().inbox.put(arrival, upload.filename.replace("\\", "/").rpartition("/")[2], upload.stream)
    return redirect(url_for("catalogue.look", token=arrival))


@pages.get("/look/<token>")
def look(token: str) -> str:
    """Which column holds what, and what would be new, changed and refused; nothing is stored."""
    empties_too = "empties" in request.args
    name, table, columns = _read(token, request.args)
    found, wrong = None, None
    try:
        if "target" in request.args:
            columns = checked_targets(columns.heading_row, request.args.getlist("target"))
        found = preview(reading(), table, columns, empties_too=empties_too)
    except InputError as error:
        wrong = error
    heading = next((row for row in table.rows if row.number == columns.heading_row), None)
    samples = [row for row in table.rows if row.number > columns.heading_row][:SAMPLES]
    return render_template(
        "catalogue/look.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        token=token,
        name=name,
        table=table,
        columns=[
            (column_letters(at), heading.cell(at).text if heading else "",
             [row.cell(at).text for row in samples], target)
            for at, target in enumerate(columns.targets)
        ],
        heading_row=columns.heading_row,
        targets=[(target, LABELS[target]) for target in TARGETS],
        labels=LABELS,
        separators=_SEPARATORS,
        encodings=_ENCODINGS,
        empties_too=empties_too,
        found=found,
        wrong=wrong,
        counts=_counts(found) if found else "",
        most=MOST_SHOWN,
    )  # fmt: skip


@pages.post("/store/<token>")
def store(token: str) -> BaseResponse:
    """Store what was looked at."""
    form = request.form
    name, table, columns = _read(token, form)
    columns = checked_targets(columns.heading_row, form.getlist("target"))
    with changing() as work:
        found = preview(work, table, columns, empties_too="empties" in form)
        check_looked_at(found, form.get("fingerprint", ""))
        store_rows(work, found, name, author(), tools().today())
    tools().inbox.remove(token)
    flash(f"“{name}” is stored: {_counts(found)} To take it back, look at the changes.")
    return redirect(url_for("library.pieces"))


@pages.get("/give-out/<form>")
def give_out(form: str) -> Response:
    """The catalog as a file."""
    name = f"catalog-{tools().today().isoformat()}.{secure_filename(form)}"
    write = partial(give_out_catalogue, reading(), tools().table_writers)
    return as_download(lambda shelf: shelf.put(name, write))


@pages.post("/enter")
def enter() -> BaseResponse | tuple[str, int]:
    """Enter a piece that exists on paper alone; a form that is refused comes back as it was typed."""
    typed = request.form.to_dict()
    try:
        with changing() as work:
            piece = enter_piece(work, read_values(typed), author(), tools().today())
    except InputError as error:
        return show(typed, error), 422
    flash(f"Entered. {lacks_note(piece)}".rstrip())
    return redirect(url_for("library.piece", piece_id=piece.id))


@pages.post("/join/<int:piece_id>")
def join(piece_id: int) -> BaseResponse:
    """Give a piece on paper the score that was added, named by its title or number."""
    name = request.form.get("score", "").strip()
    with changing() as work:
        piece = join_score(work, piece_id, piece_named(work.pieces.titles(), name, piece_id), by=author())
    flash(f"“{piece.title}” has its score now. Its results, exposures and plan places are as they were.")
    return redirect(url_for("library.piece", piece_id=piece_id))


def _read(token: str, given: Mapping[str, str]) -> tuple[str, Table, Columns]:
    """The name of a list that was handed in, the list as it is to be read, and its columns as guessed."""
    choice = TableChoice(given.get("sheet", ""), given.get("encoding", ""), given.get("separator", ""))
    path = tools().inbox.paths(token)[0]
    table, row = tools().tables.read(path, choice), whole_argument("headings")
    return path.name, table, guess_columns(table, row)


def _counts(found: Preview) -> str:
    return counts_sentence(len(found.new), len(found.changed), found.unchanged, len(found.refused))
