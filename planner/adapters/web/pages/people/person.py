"""Pages of one person: all that is stored of them, its deletion for good, two entries joined."""

import json
from collections.abc import Sequence

from flask import Blueprint, current_app, flash, redirect, render_template, request, url_for
from flask.wrappers import Response
from werkzeug.exceptions import NotFound as NoSuchPage
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import (
    author,
    changing,
    ensemble_in_view,
    number_argument,
    reading,
    stop_reading,
    term_in_view,
    tools,
)
from planner.adapters.web.errors import status_of
from planner.errors import ConflictError, InputError, NotFoundError, PlannerError
from planner.services.people.join_people import join_people, likely_same, look_at_join
from planner.services.privacy.files import files_about
from planner.services.privacy.forget import forget_person, look_at_person
from planner.services.privacy.known import records_of
from planner.services.privacy.who import every_seat, who_is
from planner.wording.director.privacy import (
    BACKUPS_STAY,
    FOR_GOOD,
    NOT_WRITTEN_ANEW,
    SCORES_STAY,
    SERVER_FILES,
    deleted_sentence,
    file_stays_words,
    kept_file_words,
    namesakes_sentence,
    outlook_lines,
    parts_sentence,
    records_rooms,
    records_text,
    text_place,
)

pages = Blueprint("person", __name__, url_prefix="/people")


@pages.get("/<int:person>")
def show(person: int) -> str:
    """All that is stored of a person, for them to see."""
    records = records_of(reading(), person, on=tools().today())
    return render_template(
        "person/show.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        person=person,
        name=records["name"],
        rooms=[room for room in records_rooms(records) if room[1]],
    )


@pages.get("/<int:person>/records.<form>")
def records(person: int, form: str) -> Response:
    """The same as one file, with the files that name the person; its own name says nothing of them."""
    if form not in ("json", "txt"):
        raise NoSuchPage
    work = reading()
    who = who_is(work, person)
    files = files_about(tools().traces, who.search, every_seat(work, who), but_backups=True)
    found = records_of(work, person, on=tools().today(), files=files)
    text = json.dumps(found, ensure_ascii=False, indent=1) if form == "json" else records_text(found)
    kind = "application/json" if form == "json" else "text/plain; charset=utf-8"
    answer = current_app.response_class(text, mimetype=kind)
    answer.headers["Content-Disposition"] = f"attachment; filename=records-{person}.{form}"
    return answer


@pages.get("/<int:person>/delete")
def look(person: int) -> str:
    """Ask whether all records of a person shall be deleted, and show what would go."""
    return _delete_page(person)


@pages.post("/<int:person>/delete")
def delete(person: int) -> str | BaseResponse | tuple[str, int]:
    """Delete all records of a person for good, and say what is left; or look again for more words."""
    form = request.form
    also = [*form.getlist("also"), *form.get("more", "").split(",")]
    if "look" in form:
        return _delete_page(person, also)
    by = author()
    stop_reading()
    try:
        done = forget_person(
            tools(), person, typed=form.get("typed", ""), by=by, also=also, leave=form.getlist("leave"),
            files=form.getlist("file"), with_accounts=bool(form.get("accounts")),
        )  # fmt: skip
    except NotFoundError:
        flash("Those records are deleted already.")
        return redirect(url_for("players.listing"))
    except (InputError, ConflictError) as error:
        return _delete_page(person, also, error), status_of(error)
    return render_template(
        "person/deleted.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        done=done,
        sentence=deleted_sentence(done.texts, len(done.removed), done.accounts),
        text_place=text_place,
        kept_file_words=kept_file_words,
        backups_stay=BACKUPS_STAY,
        server_files=SERVER_FILES if done.is_on_server else "",
        unfinished="" if done.is_written_anew else NOT_WRITTEN_ANEW,
    )


@pages.get("/<int:person>/join")
def look_at(person: int) -> str:
    """Choose which other entry is the same person, and see what joining them does."""
    return _join_page(person)


@pages.post("/<int:person>/join")
def join(person: int) -> BaseResponse | tuple[str, int]:
    """Take two entries for the same person."""
    other = number_argument("other")
    try:
        if other is None:
            raise InputError("Choose the other entry.", field="other")
        with changing() as work:
            seen = join_people(work, person, int(other), by=author())
    except (InputError, ConflictError) as error:
        return _join_page(person, error), status_of(error)
    flash(f"{seen.name} is one entry now. You can undo it under Changes.")
    return redirect(url_for("person.show", person=person))


def _delete_page(person: int, also: Sequence[str] = (), error: PlannerError | None = None) -> str:
    seen = look_at_person(tools(), reading(), person, also)
    return render_template(
        "person/delete.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        seen=seen,
        lines=outlook_lines(
            seats=len(seen.who.seats), marks=seen.marks, met=seen.met, changes=seen.changes,
            texts=sum(not each.is_printed for each in seen.mentions), accounts=(),
        ),
        for_good=FOR_GOOD,
        scores_stay=SCORES_STAY,
        namesakes=namesakes_sentence(seen.who.namesakes) if seen.who.namesakes else "",
        parts=parts_sentence(seen.who.parts) if seen.who.parts else "",
        text_place=text_place,
        kept_file_words=kept_file_words,
        file_stays_words=file_stays_words,
        server_files=SERVER_FILES if tools().settings.library_url else "",
        error=error,
        form=request.form,
    )  # fmt: skip


def _join_page(person: int, error: PlannerError | None = None) -> str:
    other = number_argument("other")
    others = likely_same(reading(), person)
    name = reading().ensembles.people()[person]
    seen = None
    if other is not None and error is None:
        seen = look_at_join(reading(), person, int(other))
    return render_template(
        "person/join.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        person=person,
        name=name,
        others=others,
        chosen=int(other) if other is not None else None,
        seen=seen,
        lines=seen.lines() if seen else (),
        error=error,
    )
