"""Commands about one person as a whole: all that is stored of them, its deletion, two entries joined."""

import os
from pathlib import Path

import click

from planner.adapters.cli.context import Session, format_option, home_option, notes, out, print_json
from planner.errors import ConflictError, ExportError, InputError, QuestionError
from planner.services.people.join_people import join_people, look_at_join
from planner.services.ports.files import FileTrace
from planner.services.privacy.files import files_about
from planner.services.privacy.forget import Deleted, Outlook, finish, forget_person, look_at_person
from planner.services.privacy.known import records_of
from planner.services.privacy.who import every_seat, find_person, who_is
from planner.services.toolbox import changing
from planner.wording.director.privacy import (
    BACKUPS_STAY,
    FOR_GOOD,
    NOT_WRITTEN_ANEW,
    SCORES_STAY,
    SERVER_FILES,
    deleted_sentence,
    kept_file_words,
    namesakes_sentence,
    outlook_lines,
    parts_sentence,
    records_text,
    text_place,
)

also_option = click.option(
    "--also", multiple=True, metavar="WORD", help="Look for this word too: a nickname, a first name alone."
)


@click.command()
@click.argument("name")
@click.option(
    "--file", "path", type=click.Path(dir_okay=False, path_type=Path),
    help="Write it to this file, which you alone can read; else it is printed.",
)  # fmt: skip
@also_option
@format_option
@home_option
@click.pass_obj
def records(session: Session, name: str, path: Path | None, also: tuple[str, ...], form: str) -> None:
    """Show all that is stored of the player NAME, for them to see; a number does in place of a name."""
    tools = session.tools
    with tools.work() as work:
        who = who_is(work, find_person(work, name), also)
        files = files_about(tools.traces, who.search, every_seat(work, who), but_backups=True)
        found = records_of(work, who.person, on=tools.today(), also=also, files=files)
    if path is not None:
        _write_closed(path, records_text(found))
        out.print(f"{path} holds all that is stored of them. You alone can read it.", markup=False)
    elif form == "json":
        print_json(found)
    else:
        out.print(records_text(found), markup=False, end="")


@click.command()
@click.argument("name", required=False)
@click.option("--for-good", is_flag=True, help="Do it; without this, it is only shown what would go.")
@also_option
@click.option(
    "--leave", multiple=True, metavar="PLACE", help="Leave this text as it is; it speaks of somebody else."
)
@click.option("--delete-file", "files", multiple=True, metavar="FILE", help="Delete this file of yours too.")
@click.option("--keep-account", is_flag=True, help="Leave an account of that name as it is.")
@click.option("--finish", "is_finish", is_flag=True, help="Finish a deletion that others held up.")
@home_option
@click.pass_obj
def forget(
    session: Session,
    name: str | None,
    for_good: bool,
    also: tuple[str, ...],
    leave: tuple[str, ...],
    files: tuple[str, ...],
    keep_account: bool,
    is_finish: bool,
) -> None:
    """Delete all records of the player NAME so that no trace is left; results of their groups stay.

    It cannot be undone. Without --for-good it only shows what would go.
    """
    tools = session.tools
    if is_finish:
        finish(tools)
        out.print("Nothing of what was deleted is left in the files of the library.")
        return
    if name is None:
        raise InputError("Say whose records.", hint="Give the name of a player.")
    with tools.work() as work:
        person = find_person(work, name)
        who = who_is(work, person)
        if not for_good:
            _print_outlook(look_at_person(tools, work, person, also))
            raise QuestionError("Nothing was deleted yet.", hint="Say that you mean it with --for-good.")
    done = forget_person(
        tools, person, typed=who.name, by=session.author(), also=also, leave=leave, files=files,
        with_accounts=not keep_account,
    )  # fmt: skip
    print_deleted(done)


@click.command()
@click.argument("name")
@click.argument("other")
@click.option("--yes", is_flag=True, help="Do it; without this, it is only shown.")
@home_option
@click.pass_obj
def join(session: Session, name: str, other: str, yes: bool) -> None:
    """Take the players NAME and OTHER for the same person, called NAME from then on; that can be undone.

    A number does in place of a name.
    """
    with session.tools.work() as work:
        person, second = find_person(work, name), find_person(work, other)
        seen = look_at_join(work, person, second)
    if not yes:
        for line in seen.lines():
            out.print(line, markup=False)
        raise QuestionError(
            "Nothing was changed yet.", hint="Say that it is the same person with --yes; it can be undone."
        )
    with changing(session.tools.work) as work:
        seen = join_people(work, person, second, by=session.author())
    for line in seen.lines():
        out.print(line, markup=False)
    out.print("They are one person now. Undo it: planner changes undo NUMBER.")


PRIVACY = (records, forget, join)
"""The commands, below `planner players`."""


def print_deleted(done: Deleted) -> None:
    """Say what was deleted, and what is left to the director."""
    out.print(deleted_sentence(done.texts, len(done.removed), done.accounts), markup=False)
    for mention in done.left:
        out.print(
            f"Still there, {text_place(f'{mention.table} {mention.column}')}: {mention.text}", markup=False
        )
    for trace in done.kept:
        out.print(f"Still there, {_file_words(trace)}", markup=False)
    if done.backups:
        names = ", ".join(trace.path.name for trace in done.backups)
        out.print(f"These backups still hold the name, or may: {names}. {BACKUPS_STAY}", markup=False)
        out.print("Delete one: planner backup --remove BACKUP --yes", markup=False)
    if done.is_on_server:
        notes.print(SERVER_FILES, markup=False)
    if not done.is_written_anew:
        raise ConflictError(NOT_WRITTEN_ANEW)


def _print_outlook(seen: Outlook) -> None:
    lines = outlook_lines(
        seats=len(seen.who.seats), marks=seen.marks, met=seen.met, changes=seen.changes,
        texts=sum(not each.is_printed for each in seen.mentions),
        accounts=[each.name for each in seen.who.accounts],
    )  # fmt: skip
    out.print(FOR_GOOD)
    for line in lines:
        out.print(f"  {line}", markup=False)
    for mention in seen.mentions:
        where = text_place(f"{mention.table} {mention.column}")
        after = "stays" if mention.is_printed else f"becomes “{mention.after}” (--leave “{mention.place}”)"
        out.print(f"  {where}: “{mention.text}” {after}", markup=False)
    for trace in seen.files:
        out.print(
            f"  {trace.name}" if trace.place in ("export", "inbox") else f"  {_file_words(trace)}",
            markup=False,
        )
    if seen.who.namesakes:
        out.print(namesakes_sentence(seen.who.namesakes))
    if seen.who.parts:
        out.print(parts_sentence(seen.who.parts), markup=False)
    out.print(SCORES_STAY)


def _file_words(trace: FileTrace) -> str:
    return f"{trace.name}: {kept_file_words(trace.place, trace.is_read)}."


def _write_closed(path: Path, text: str) -> None:
    """Write a file that its owner alone can read, from the first moment.

    Raises:
        ExportError: If it cannot be written, or is there already.
    """
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
    except OSError as error:
        raise ExportError(path, (error.strerror or "no access").lower()) from error
