"""A list that the director keeps, in the journal: its name, pieces and search; nothing where it is not."""

from typing import Any

from planner.core.change import Subject, Values
from planner.core.finding import SavedList
from planner.services.ports.work import UnitOfWork


def list_subject(saved: SavedList) -> Subject:
    """A list, as the journal speaks of it."""
    return Subject("list", saved.id, saved.name)


def find_list(work: UnitOfWork, list_id: int) -> SavedList | None:
    """The list; None when it is not there."""
    return next((one for one in work.lists.list_saved() if one.id == list_id), None)


def read_list(work: UnitOfWork, subject: Subject) -> Values:
    """Its name, pieces and search; nothing when it is not there."""
    saved = find_list(work, subject.id)
    if saved is None:
        return {}
    return {
        "name": saved.name,
        "pieces": list(saved.piece_ids),
        "search": None if saved.search is None else dict(saved.search),
    }


def write_list(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    """Put values back: a name of None takes the list out, one that was out comes back under its number.

    A piece that is no longer in the library stays off it.

    Raises:
        ConflictError: If the name is taken by another list now.
    """
    before = find_list(work, subject.id)
    if "name" in values and values["name"] is None:
        work.lists.remove(subject.id)
        return
    there = before or SavedList(subject.id, "")
    wanted = there.piece_ids if values.get("pieces") is None else tuple(values["pieces"])
    present = work.pieces.titles(wanted)
    put_back = SavedList(
        subject.id,
        values.get("name", there.name),
        tuple(piece for piece in wanted if piece in present),
        values.get("search", there.search),
    )
    if before is None:
        work.lists.add(put_back)
    else:
        work.lists.update(put_back)
