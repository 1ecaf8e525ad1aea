"""What is read of all pieces to find some, and lists that the director keeps."""

from collections.abc import Collection, Mapping, Sequence
from datetime import date
from typing import Any

from sqlalchemy import delete, func, insert, select, union_all
from sqlalchemy.orm import Session

from planner.adapters.db.pieces import beside_levels, chunks, level_of
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
from planner.core.finding import ListedPiece, SavedList
from planner.core.piece import ON_PAPER
from planner.core.text import folded
from planner.errors import ConflictError, NotFoundError


class SqlFinding:
    """``FindingRepository`` on SQLAlchemy."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def pieces(self, level_for: int | None) -> Sequence[ListedPiece]:
        """Every piece in order of title, with its level for an ensemble."""
        row = PieceRow
        found = select(
            row.id, row.sort_title, row.composer, row.search_text, row.home_key, row.rights,
            row.rights_reason, row.shelf, row.published_grade, row.playing_seconds, row.part_count,
            row.added_on, level_of(level_for),
        )  # fmt: skip
        rows = self._session.execute(beside_levels(found, level_for))
        return sorted((ListedPiece(*each) for each in rows), key=lambda one: (one.sort_title, one.id))

    def with_meter(self, meter: str) -> frozenset[int]:
        """The pieces in which a meter occurs."""
        return frozenset(
            self._session.scalars(select(PieceMeterRow.piece_id).where(PieceMeterRow.meter == meter))
        )

    def on_paper(self) -> frozenset[int]:
        """The pieces that exist on paper alone."""
        sources = select(SourceFileRow.id).where(SourceFileRow.sha256.startswith(ON_PAPER))
        return frozenset(self._session.scalars(select(PieceRow.id).where(PieceRow.source_id.in_(sources))))

    def tags(self) -> Sequence[str]:
        """Every tag, folded."""
        return tuple(self._session.scalars(select(PieceTagRow.folded).distinct()))

    def tagged(self, tags: Collection[str]) -> Mapping[int, Sequence[str]]:
        """By piece, which of some folded tags it has; a piece without any of them is left out."""
        found: dict[int, list[str]] = {}
        for some in chunks(tags):
            for piece_id, tag in self._session.execute(
                select(PieceTagRow.piece_id, PieceTagRow.folded).where(PieceTagRow.folded.in_(some))
            ):
                found.setdefault(piece_id, []).append(tag)
        return found

    def last_read(self, ensemble_id: int | None) -> Mapping[int, date | None]:
        """By piece the day on which an ensemble, or any, read it last; None where no day is known."""
        results = select(ResultRow.piece_id, ResultRow.on_day, ResultRow.ensemble_id)
        met = select(ExposureRow.piece_id, ExposureRow.on_day, ExposureRow.ensemble_id).where(
            ExposureRow.how == "read"
        )
        every = union_all(results, met).subquery()
        found = select(every.c.piece_id, func.max(every.c.on_day)).group_by(every.c.piece_id)
        if ensemble_id is not None:
            found = found.where(every.c.ensemble_id == ensemble_id)
        return {piece_id: on for piece_id, on in self._session.execute(found)}


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

    def get(self, list_id: int) -> SavedList:
        """The list, or ``NotFoundError``."""
        found = next((one for one in self.list_saved() if one.id == list_id), None)
        if found is None:
            raise NotFoundError("list", list_id, hint="It may have been removed. Look at the lists there are.")
        return found

    def list_saved(self) -> Sequence[SavedList]:
        """All lists by name."""
        pieces: dict[int, list[int]] = {}
        member = SavedListPieceRow
        for list_id, piece_id in self._session.execute(
            select(member.list_id, member.piece_id).order_by(member.list_id, member.position)
        ):
            pieces.setdefault(list_id, []).append(piece_id)
        rows = self._session.execute(select(SavedListRow.id, SavedListRow.name, SavedListRow.search))
        found = [SavedList(id_, name, tuple(pieces.get(id_, ())), search) for id_, name, search in rows]
        return sorted(found, key=lambda one: (folded(one.name), one.id))

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
        self.get(list_id)
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
