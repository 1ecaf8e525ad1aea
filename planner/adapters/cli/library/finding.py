"""Commands that find pieces, and keep what was found as lists."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import click

from planner.adapters.cli.context import (
    Session,
    format_option,
    home_option,
    notes,
    out,
    pick_piece,
    print_json,
)
from planner.core.ensemble import Ensemble
from planner.core.finding import FindQuery, Group, Order, SavedList
from planner.core.piece import Piece
from planner.core.text import folded, shown
from planner.errors import InputError
from planner.services.finding.find import Found, find_ids, find_pieces
from planner.services.finding.lists import (
    keep_list,
    list_named,
    put_on_list,
    remove_list,
    rename_list,
    take_off_list,
)
from planner.services.finding.query import FILTERS, FOR_ALL, group_value, read_query
from planner.services.ports.work import UnitOfWork
from planner.services.toolbox import changing
from planner.wording.director.finding import (
    COPIES,
    NEAR_NOTE,
    STANDINGS,
    filter_words,
    list_note,
    loosen_words,
    moved_words,
    nothing_found_words,
)
from planner.wording.words import full_date

MOST_SHOWN = 50
"""Pieces that are printed when nothing else is asked for (house choice)."""

_OPTIONS: tuple[tuple[str, str], ...] = (
    ("for", "Ensemble whose levels count (default: the first), or “all” for a full ensemble."),
    ("from", "Lowest level."),
    ("to", "Highest level."),
    ("reads", "Who can just read it: an ensemble or a section."),
    ("fresh", "For whom it must be fresh: an ensemble or a section."),
    ("focus", "Skill it trains, such as rhythm."),
    ("key", "Home key, such as “B♭ major”."),
    ("meter", "Meter that occurs in it, such as 6/8."),
    ("shortest", "Playing time in minutes, at least."),
    ("longest", "Playing time in minutes, at most."),
    ("rights", "Words in the rights; “entered”, or “none” for pieces without."),
    ("tag", "One of its tags."),
    ("copy", f"What there is of it: {', '.join(COPIES)}."),
    ("standing", f"What was done with it: {', '.join(STANDINGS)}."),
    ("shelf", "How its shelf place begins; “none” for pieces without."),
    ("list", "List it is on, by its name."),
    ("order", f"What the pieces stand by: {', '.join(Order)}."),
)


def search_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """What a search may ask for, under the names that an address of the library page has."""
    command = click.option("--down", is_flag=True, help="From the other end.")(command)
    command = click.option("--near", is_flag=True, help="Close spellings too.")(command)
    for name, help_text in reversed(_OPTIONS):
        command = click.option(f"--{name}", f"asked_{name}", metavar="TEXT", help=help_text)(command)
    return click.argument("words", nargs=-1)(command)


def asked_of(work: UnitOfWork, words: tuple[str, ...], options: dict[str, Any]) -> dict[str, str]:
    """What was asked for, as an address of the library page says it: names become numbers."""
    given = {name: options.get(f"asked_{name}") or "" for name, _ in _OPTIONS}
    given |= {
        "text": " ".join(words),
        **{name: "1" if options.get(name) else "" for name in ("near", "down")},
    }
    ensembles = work.ensembles.list_ensembles()
    if given["for"] and given["for"] != FOR_ALL:
        given["for"] = str(_ensemble(ensembles, given["for"]).id)
    for name in ("reads", "fresh"):
        if given[name]:
            given[name] = _group(ensembles, given[name])
    if given["list"]:
        given["list"] = str(list_named(work, given["list"]).id)
    if given["key"]:
        given["key"] = next(
            (k for k in work.pieces.choices().keys if _same_key(k, given["key"])), given["key"]
        )
    return {name: text for name, text in given.items() if text}


def query_of(work: UnitOfWork, given: dict[str, str]) -> FindQuery:
    """The same as a query; without an ensemble named the levels are for the first one."""
    ensembles = work.ensembles.list_ensembles()
    return read_query(given, ensembles, ensembles[0] if ensembles else None)


def _same_key(stored: str, typed: str) -> bool:
    return folded(stored.replace("b ", "♭ ").replace("# ", "♯ ")) == folded(typed)


def _ensemble(ensembles: Sequence[Ensemble], name: str) -> Ensemble:
    found = next((one for one in ensembles if folded(one.name) == folded(name)), None)
    if found is None:
        raise InputError(f"There is no ensemble “{shown(name)}”.", hint="Look at them: planner ensembles.")
    return found


def _group(ensembles: Sequence[Ensemble], name: str) -> str:
    """An ensemble or a section by its name, as an address names it."""
    for one in ensembles:
        if folded(one.name) == folded(name):
            return group_value(Group(one.id))
    found = [
        (one, section)
        for one in ensembles
        for section in one.sections
        if folded(name) in (folded(section.name), folded(f"{one.name}/{section.name}"))
    ]
    if len(found) == 1:
        return group_value(Group(found[0][0].id, found[0][1].id))
    if found:
        able = ", ".join(f"“{one.name}/{section.name}”" for one, section in found)
        raise InputError(f"Several sections are called “{shown(name)}”.", hint=f"Say {able}.")
    raise InputError(
        f"No ensemble and no section is called “{shown(name)}”.", hint="Name it as the roster does."
    )


@click.command()
@search_options
@click.option("--most", type=click.IntRange(0), default=MOST_SHOWN, help="Pieces to print; 0 for all.")
@format_option
@home_option
@click.pass_obj
def find(session: Session, /, words: tuple[str, ...], form: str, most: int, **options: Any) -> int:
    """List the pieces of the library, or find some: WORDS in title, composer, tag or shelf place.

    A typing slip is forgiven where nothing is spelled as typed. The exit code is 3 when nothing is found.
    """
    with session.tools.work() as work:
        given = asked_of(work, words, options)
        query = replace(query_of(work, given), limit=most)
        found = find_pieces(work, query, session.tools.today())
        ensembles, lists = work.ensembles.list_ensembles(), work.lists.list_saved()
    if form == "json":
        print_json({
            "format": "found-pieces", "version": 1, "asked": given, "total": found.total,
            "near": found.is_near, "without": dict(found.without),
            "pieces": [_row(piece, found) for piece in found.pieces],
        })  # fmt: skip
        return 0 if found.total else 3
    if not found.total:
        _print_nothing(found, ensembles, lists)
        return 3
    if found.is_near:
        notes.print(NEAR_NOTE)
    for piece in found.pieces:
        out.print(_line(piece, found), markup=False)
    if found.total > len(found.pieces):
        notes.print(f"{len(found.pieces)} of {found.total}; say --most 0 for all.", markup=False)
    return 0


def _print_nothing(found: Found, ensembles: Sequence[Ensemble], lists: Sequence[SavedList]) -> None:
    words = {name: filter_words(name, found.query, ensembles, lists) for name in FILTERS}
    used = [text for text in words.values() if text]
    notes.print(nothing_found_words(used, helps=bool(found.without)), markup=False)
    for name, count in found.without.items():
        notes.print(f"  {words[name]}: {loosen_words(count)}", markup=False)


def _line(piece: Piece, found: Found) -> str:
    level = found.levels.get(piece.id)
    facts = [
        piece.composer,
        f"level {level:.1f}" if level is not None else "level not known",
        *(["on paper"] if piece.is_on_paper else []),
        *([piece.shelf] if piece.shelf else []),
        *([f"last read {_day(found, piece)}"] if piece.id in found.last_read else []),
    ]
    return f"{piece.id:>5}  {shown(piece.title)} ({', '.join(shown(fact) for fact in facts if fact)})"


def _day(found: Found, piece: Piece) -> str:
    on = found.last_read[piece.id]
    return full_date(on) if on else "on a day not known"


def _row(piece: Piece, found: Found) -> dict[str, object]:
    return {
        "id": piece.id, "title": piece.title, "composer": piece.composer, "level": found.levels.get(piece.id),
        "key": piece.home_key, "meters": list(piece.meters), "parts": piece.part_count,
        "seconds": piece.playing_seconds, "grade": piece.published_grade, "shelf": piece.shelf,
        "tags": list(piece.tags), "on_paper": piece.is_on_paper, "is_read": piece.id in found.last_read,
        "last_read": found.last_read.get(piece.id),
    }  # fmt: skip


@click.group(invoke_without_command=True)
@format_option
@home_option
@click.pass_context
def lists(context: click.Context, form: str) -> None:
    """List the lists of pieces that are kept; keep one, rename it, put pieces on it, take it out."""
    if context.invoked_subcommand is not None:
        return
    session: Session = context.obj
    with session.tools.work() as work:
        found = work.lists.list_saved()
    if form == "json":
        print_json({"format": "lists", "version": 1, "lists": [_list_row(one) for one in found]})
        return
    if not found:
        out.print("No list is kept yet.")
    for one in found:
        out.print(f"{one.id:>4}  {shown(one.name)} ({list_note(one)})", markup=False)


def _list_row(saved: SavedList) -> dict[str, object]:
    pieces, search = list(saved.piece_ids), saved.search
    return {
        "id": saved.id,
        "name": saved.name,
        "pieces": pieces,
        "search": None if search is None else dict(search),
    }


@lists.command("show")
@click.argument("name")
@format_option
@home_option
@click.pass_obj
def show(session: Session, name: str, form: str) -> None:
    """Show the pieces of the list NAME; of a search, those that it finds today."""
    with session.tools.work() as work:
        saved = list_named(work, name)
        query = query_of(work, {"list": str(saved.id)})
        found = find_pieces(work, query, session.tools.today())
    if form == "json":
        print_json(
            {
                "format": "list",
                "version": 1,
                **_list_row(saved),
                "found": [_row(p, found) for p in found.pieces],
            }
        )
        return
    out.print(f"{shown(saved.name)} ({list_note(saved)})", markup=False)
    for piece in found.pieces:
        out.print(_line(piece, found), markup=False)


@lists.command("keep")
@click.argument("name")
@click.option("--piece", "pieces", multiple=True, help="Piece on it, by title or number; again for more.")
@click.option("--found", is_flag=True, help="Put on it the pieces that the search finds today.")
@search_options
@home_option
@click.pass_obj
def keep(
    session: Session,
    /,
    name: str,
    pieces: tuple[str, ...],
    found: bool,
    words: tuple[str, ...],
    **options: Any,
) -> None:
    """Keep a new list NAME: of pieces, or of a search, which finds its pieces anew each time."""
    with changing(session.tools.work) as work:
        given = asked_of(work, words, options)
        if found and not given:
            raise click.UsageError("Say what to look for.")
        if given and pieces:
            raise click.UsageError("A list is of pieces or of a search, not of both.")
        ids = [pick_piece(work, piece).id for piece in pieces]
        if found:
            ids = list(find_ids(work, query_of(work, given), session.tools.today()))
        search = given if given and not found else None
        saved = keep_list(work, name, by=session.author(), piece_ids=ids, search=search)
    out.print(f"“{shown(saved.name)}” is kept ({list_note(saved)}).", markup=False)


@lists.command("put")
@click.argument("name")
@click.argument("pieces", nargs=-1, required=True)
@home_option
@click.pass_obj
def put(session: Session, name: str, pieces: tuple[str, ...]) -> None:
    """Put PIECES, by title or number, on the list NAME."""
    _move(session, name, pieces, is_off=False)


@lists.command("take-off")
@click.argument("name")
@click.argument("pieces", nargs=-1, required=True)
@home_option
@click.pass_obj
def take_off(session: Session, name: str, pieces: tuple[str, ...]) -> None:
    """Take PIECES, by title or number, off the list NAME."""
    _move(session, name, pieces, is_off=True)


def _move(session: Session, name: str, pieces: tuple[str, ...], *, is_off: bool) -> None:
    with changing(session.tools.work) as work:
        ids = [pick_piece(work, piece).id for piece in pieces]
        move = take_off_list if is_off else put_on_list
        moved = move(work, list_named(work, name).id, ids, by=session.author())
    words = moved_words(shown(moved.saved.name), len(moved.moved), len(moved.as_before), is_off=is_off)
    out.print(words, markup=False)


@lists.command("rename")
@click.argument("name")
@click.argument("new")
@home_option
@click.pass_obj
def rename(session: Session, name: str, new: str) -> None:
    """Call the list NAME by the name NEW."""
    with changing(session.tools.work) as work:
        saved = rename_list(work, list_named(work, name).id, new, by=session.author())
    out.print(f"The list is called “{shown(saved.name)}” now.", markup=False)


@lists.command("remove")
@click.argument("name")
@home_option
@click.pass_obj
def remove(session: Session, name: str) -> None:
    """Take the list NAME out; its pieces stay. To bring it back: planner changes."""
    with changing(session.tools.work) as work:
        saved = remove_list(work, list_named(work, name).id, by=session.author())
    out.print(f"The list “{shown(saved.name)}” is gone; its pieces are still here.", markup=False)


COMMANDS = (find, lists)
