"""Lists that the director keeps: pieces put on them by hand, or a search that finds them anew each time."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.core.change import Author, ChangeKind
from planner.core.finding import FindQuery, SavedList
from planner.core.text import folded, shown
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.changes.journal import record_new, recorded
from planner.services.changes.list_record import list_subject
from planner.services.entered.words import entered_line
from planner.services.finding.query import read_query, search_of
from planner.services.ports.work import UnitOfWork

MOST_LETTERS = 80
"""Letters in the name of a list; more is a slip (house choice)."""


@dataclass(frozen=True, slots=True)
class Moved:
    """What putting pieces on a list, or taking them off, did.

    Attributes:
        saved: The list as it is now.
        moved: The pieces put on or taken off.
        as_before: Those that were on it, or off it, already.
    """

    saved: SavedList
    moved: tuple[int, ...]
    as_before: tuple[int, ...] = ()


def keep_list(
    work: UnitOfWork,
    name: str,
    *,
    by: Author,
    piece_ids: Sequence[int] = (),
    search: Mapping[str, str] | None = None,
) -> SavedList:
    """Keep a new list and journal it.

    Args:
        work: An open unit of work.
        name: What it is called.
        by: Who keeps it.
        piece_ids: The pieces that are on it by hand.
        search: In place of pieces a search, its values by their names in an address.

    Raises:
        InputError: If the name, or the search, cannot be used.
        ConflictError: If the name is taken.
        NotFoundError: If a piece is not there.
    """
    asked = None if search is None else search_of(search)
    if asked is not None:
        ensembles = work.ensembles.list_ensembles()
        query = read_query(asked, ensembles, None)
        if query == FindQuery(level_for=query.level_for, order=query.order, is_falling=query.is_falling):
            raise InputError("This search asks for nothing.", hint="Choose what to look for, then keep it.")
    _check_pieces(work, piece_ids)
    saved = SavedList(0, _name(name), tuple(dict.fromkeys(piece_ids)), asked)
    saved = replace(saved, id=work.lists.add(saved))
    record_new(work, ChangeKind.LIST, list_subject(saved), by)
    return saved


def rename_list(work: UnitOfWork, list_id: int, name: str, *, by: Author) -> SavedList:
    """Give a list another name, and journal it.

    Raises:
        NotFoundError: If it is not there.
        InputError: If the name cannot be used.
        ConflictError: If the name is taken.
    """
    saved = list_of(work, list_id)
    with recorded(work, ChangeKind.LIST, list_subject(saved), by):
        work.lists.update(replace(saved, name=_name(name)))
    return list_of(work, list_id)


def put_on_list(work: UnitOfWork, list_id: int, piece_ids: Sequence[int], *, by: Author) -> Moved:
    """Put pieces on a list, after those on it, and journal it; what is on it already is passed over.

    Raises:
        NotFoundError: If the list or a piece is not there.
        ConflictError: If the list is a search.
    """
    saved = _of_pieces(work, list_id)
    _check_pieces(work, piece_ids)
    wanted = tuple(dict.fromkeys(piece_ids))
    new = tuple(piece for piece in wanted if piece not in set(saved.piece_ids))
    return _store(work, saved, (*saved.piece_ids, *new), Moved(saved, new, _rest(wanted, new)), by)


def take_off_list(work: UnitOfWork, list_id: int, piece_ids: Sequence[int], *, by: Author) -> Moved:
    """Take pieces off a list, and journal it; what is not on it is passed over.

    Raises:
        NotFoundError: If the list is not there.
        ConflictError: If the list is a search.
    """
    saved = _of_pieces(work, list_id)
    wanted = tuple(dict.fromkeys(piece_ids))
    gone = tuple(piece for piece in wanted if piece in set(saved.piece_ids))
    stay = tuple(piece for piece in saved.piece_ids if piece not in set(gone))
    return _store(work, saved, stay, Moved(saved, gone, _rest(wanted, gone)), by)


def remove_list(work: UnitOfWork, list_id: int, *, by: Author) -> SavedList:
    """Take a list out, and journal it; its pieces stay in the library.

    Raises:
        NotFoundError: If it is not there.
    """
    saved = list_of(work, list_id)
    with recorded(work, ChangeKind.LIST, list_subject(saved), by):
        work.lists.remove(list_id)
    return saved


def list_of(work: UnitOfWork, list_id: int) -> SavedList:
    """The list of that number.

    Raises:
        NotFoundError: If there is none.
    """
    found = next((one for one in work.lists.list_saved() if one.id == list_id), None)
    if found is None:
        raise NotFoundError("list", list_id, hint="It may have been removed. Look at the lists there are.")
    return found


def list_named(work: UnitOfWork, name: str) -> SavedList:
    """The list of that name, whatever case and accents, or of that number.

    Raises:
        NotFoundError: If there is none.
    """
    lists = work.lists.list_saved()
    for one in lists:
        if folded(one.name) == folded(name):
            return one
    for one in lists:
        if name.strip() == str(one.id):
            return one
    raise NotFoundError(
        "list", f"“{shown(name.strip())}”", hint="Look at the lists there are: planner lists."
    )


def _store(work: UnitOfWork, saved: SavedList, piece_ids: tuple[int, ...], moved: Moved, by: Author) -> Moved:
    with recorded(work, ChangeKind.LIST, list_subject(saved), by):
        if moved.moved:
            work.lists.update(replace(saved, piece_ids=piece_ids))
    return replace(moved, saved=list_of(work, saved.id))


def _rest(wanted: Sequence[int], done: Sequence[int]) -> tuple[int, ...]:
    return tuple(piece for piece in wanted if piece not in set(done))


def _of_pieces(work: UnitOfWork, list_id: int) -> SavedList:
    saved = list_of(work, list_id)
    if saved.search is not None:
        raise ConflictError(
            f"“{saved.name}” is a search: it finds its pieces itself.", hint="Put them on a list of pieces."
        )
    return saved


def _check_pieces(work: UnitOfWork, piece_ids: Sequence[int]) -> None:
    there = work.pieces.titles(piece_ids) if piece_ids else {}
    for piece_id in piece_ids:
        if piece_id not in there:
            raise NotFoundError("piece", piece_id)


def _name(text: str) -> str:
    name = entered_line(text, "The name of a list", most=MOST_LETTERS, field="name")
    if not name:
        raise InputError("A list needs a name.", field="name")
    return name
