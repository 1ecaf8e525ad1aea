"""What is read of all pieces to find some, and lists that the director keeps."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import ScalarSelect, Select, Subquery, delete, func, insert, select, union_all
from sqlalchemy.orm import Session

from planner.adapters.db.chunks import chunks
from planner.adapters.db.pieces import SqlPieces, beside_levels, level_of
from planner.adapters.db.tables import (
    ExposureRow,
    PieceMeterRow,
    PieceRow,
    PieceTagRow,
    ResultRow,
    SavedListPieceRow,
    SavedListRow,
    SourceFileRow,
)
from planner.core.finding import ListedPiece, PieceShown, SavedList
from planner.core.piece import ON_PAPER
from planner.core.text import folded
from planner.errors import ConflictError, NotFoundError


class SqlFinding:
    """``FindingRepository`` on SQLAlchemy."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def pieces(
        self, wanted: Collection[str], *, level_for: int | None = None, meter: str = ""
    ) -> Sequence[ListedPiece]:
        """Every piece in order of title, with what is wanted of it."""
        read = _last_read(level_for)
        named = {name: one for name, one in _columns(level_for, read, meter).items() if name in wanted}
        found: Select[Any] = select(PieceRow.id, PieceRow.sort_title, *named.values())
        if "level" in named:
            found = beside_levels(found, level_for)
        if _OF_READING & named.keys():
            found = found.outerjoin(read, read.c.piece_id == PieceRow.id)
        names = ("id", "sort_title", *named)
        places = [names.index(name) if name in names else None for name in ListedPiece._fields]
        blank = ListedPiece(0, "")
        rows = self._session.execute(found)
        listed = (
            ListedPiece._make([blank[n] if at is None else row[at] for n, at in enumerate(places)])
            for row in map(tuple, rows)
        )
        return sorted(listed, key=lambda one: (one.sort_title, one.id))

    def shown(self, piece_ids: Collection[int], level_for: int | None) -> Mapping[int, PieceShown]:
        """Some pieces by number, with their level for an ensemble and what that, or any, has read."""
        read = _last_read(level_for)
        found = beside_levels(
            select(PieceRow, level_of(level_for), read.c.piece_id.is_not(None), read.c.on_day), level_for
        ).outerjoin(read, read.c.piece_id == PieceRow.id)
        pieces = SqlPieces(self._session)
        return {
            piece.id: PieceShown(piece, *facts)
            for some in chunks(piece_ids)
            for piece, facts in pieces.read_beside(found.where(PieceRow.id.in_(some)))
        }


_OF_READING = frozenset({"is_read", "last_read"})


def _columns(level_for: int | None, read: Subquery, meter: str) -> Mapping[str, Any]:
    """The columns of ``ListedPiece``, by their names; those of readings beside ``read``."""
    row = PieceRow
    on_paper = select(SourceFileRow.id).where(SourceFileRow.sha256.startswith(ON_PAPER))
    in_meter = select(PieceMeterRow.piece_id).where(PieceMeterRow.meter == meter)
    return {
        "composer": row.composer, "words": row.search_text, "key": row.home_key, "rights": row.rights,
        "rights_reason": row.rights_reason, "shelf": row.shelf, "grade": row.published_grade,
        "playing_seconds": row.playing_seconds, "part_count": row.part_count, "added_on": row.added_on,
        "level": level_of(level_for), "is_on_paper": row.source_id.in_(on_paper),
        "is_read": read.c.piece_id.is_not(None), "last_read": read.c.on_day,
        "has_meter": row.id.in_(in_meter), "tags": func.coalesce(_tags(), ""),
    }  # fmt: skip


def _last_read(ensemble_id: int | None) -> Subquery:
    """By piece the day on which an ensemble, or any, read it last; none where no day is known."""
    results = select(ResultRow.piece_id, ResultRow.on_day)
    met = select(ExposureRow.piece_id, ExposureRow.on_day).where(ExposureRow.how == "read")
    if ensemble_id is not None:
        results = results.where(ResultRow.ensemble_id == ensemble_id)
        met = met.where(ExposureRow.ensemble_id == ensemble_id)
    every = union_all(results, met).subquery()
    day = func.max(every.c.on_day).label("on_day")
    return select(every.c.piece_id, day).group_by(every.c.piece_id).subquery()


def _tags() -> ScalarSelect[str | None]:
    """The folded tags of a piece, each on a line."""
    lines = func.aggregate_strings(PieceTagRow.folded, "\n")
    return select(lines).where(PieceTagRow.piece_id == PieceRow.id).correlate(PieceRow).scalar_subquery()


class SqlSavedLists:
    """``SavedListRepository`` on SQLAlchemy."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, saved: SavedList) -> int:
        """Store a list, under its own id if it has one.

        Raises:
            ConflictError: If the name is taken.
        """
        self._check_name(saved)
        row = SavedListRow(name=saved.name, folded=folded(saved.name), search=_search(saved))
        if saved.id:
            row.id = saved.id
        self._session.add(row)
        self._session.flush()
        self._put_pieces(row.id, saved.piece_ids)
        return row.id

    def list_saved(self) -> Sequence[SavedList]:
        """All lists by name."""
        row, member = SavedListRow, SavedListPieceRow
        found = select(row.id, row.name, row.search, member.piece_id).outerjoin(
            member, member.list_id == row.id
        )
        lists: dict[int, SavedList] = {}
        pieces: dict[int, list[int]] = {}
        for id_, name, search, piece_id in self._session.execute(found.order_by(row.id, member.position)):
            lists[id_] = SavedList(id_, name, (), search)
            if piece_id is not None:
                pieces.setdefault(id_, []).append(piece_id)
        every = [replace(one, piece_ids=tuple(pieces.get(one.id, ()))) for one in lists.values()]
        return sorted(every, key=lambda one: (folded(one.name), one.id))

    def update(self, saved: SavedList) -> None:
        """Store the name, the pieces and the search of a list.

        Raises:
            ConflictError: If the name is taken.
        """
        self._check_name(saved)
        row = self._session.get(SavedListRow, saved.id)
        if row is None:
            raise NotFoundError("list", saved.id)
        row.name, row.folded, row.search = saved.name, folded(saved.name), _search(saved)
        self._session.flush()
        self._session.execute(delete(SavedListPieceRow).where(SavedListPieceRow.list_id == saved.id))
        self._put_pieces(saved.id, saved.piece_ids)

    def remove(self, list_id: int) -> None:
        """Take a list out; its pieces stay in the library."""
        self._session.execute(delete(SavedListPieceRow).where(SavedListPieceRow.list_id == list_id))
        self._session.execute(delete(SavedListRow).where(SavedListRow.id == list_id))
        self._session.expire_all()

    def _put_pieces(self, list_id: int, piece_ids: Sequence[int]) -> None:
        rows = [
            {"list_id": list_id, "piece_id": piece_id, "position": at}
            for at, piece_id in enumerate(dict.fromkeys(piece_ids))
        ]
        if rows:
            self._session.execute(insert(SavedListPieceRow), rows)

    def _check_name(self, saved: SavedList) -> None:
        taken = select(SavedListRow.id).where(
            SavedListRow.folded == folded(saved.name), SavedListRow.id != saved.id
        )
        if self._session.scalar(taken) is not None:
            raise ConflictError(f"There is a list “{saved.name}” already.", hint="Choose another name.")


def _search(saved: SavedList) -> dict[str, Any] | None:
    return None if saved.search is None else dict(saved.search)
