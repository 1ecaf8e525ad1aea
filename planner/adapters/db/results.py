"""Results of readings and players' marks in the database."""

from collections.abc import Collection, Sequence
from datetime import date
from typing import Any

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from planner.adapters.db.tables import PieceRow, PlayerMarkRow, PlayerRow, ResultRow, SectionRow
from planner.core.term import PlayerMark, Result
from planner.errors import NotFoundError


class SqlResults:
    """``ResultRepository`` on SQLAlchemy."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def put(self, result: Result) -> None:
        """Store, or replace the one of the same section, piece and date.

        Raises:
            NotFoundError: If the section is not in that ensemble, or the piece not in the library.
        """
        section = self._session.get(SectionRow, result.section_id)
        if section is None or section.ensemble_id != result.ensemble_id:
            raise NotFoundError("section", result.section_id)
        if self._session.get(PieceRow, result.piece_id) is None:
            raise NotFoundError("piece", result.piece_id)
        row = self._session.scalars(
            select(ResultRow).where(
                ResultRow.section_id == result.section_id,
                ResultRow.piece_id == result.piece_id,
                ResultRow.on_day == result.on,
            )
        ).first()
        row = row or ResultRow(section_id=result.section_id, piece_id=result.piece_id, on_day=result.on)
        row.ensemble_id = result.ensemble_id
        row.first_share, row.second_share = result.first_share, result.second_share
        row.tempo_bpm, row.problems, row.note = result.tempo_bpm, list(result.problems), result.note
        row.counts = result.counts
        self._session.add(row)
        self._session.flush()

    def remove(self, section_id: int, piece_id: int, on: date) -> None:
        """Take a result out; nothing happens when there is none."""
        self._session.execute(
            delete(ResultRow).where(
                ResultRow.section_id == section_id,
                ResultRow.piece_id == piece_id,
                ResultRow.on_day == on,
            )
        )
        self._session.expire_all()

    def ensembles_that_read(self, piece_ids: Collection[int]) -> Sequence[int]:
        """The ensembles that have results of some of these pieces."""
        found = select(ResultRow.ensemble_id).where(ResultRow.piece_id.in_(sorted(set(piece_ids))))
        return tuple(self._session.scalars(found.distinct().order_by(ResultRow.ensemble_id)))

    def list_results(self, ensemble_id: int | None = None, on: date | None = None) -> Sequence[Result]:
        """Results by date, of one ensemble or of all, of one day or of all."""
        found = select(*(getattr(ResultRow, name) for name in _RESULT))
        if ensemble_id is not None:
            found = found.where(ResultRow.ensemble_id == ensemble_id)
        if on is not None:
            found = found.where(ResultRow.on_day == on)
        rows = self._session.execute(found.order_by(ResultRow.on_day, ResultRow.id))
        return tuple(_result_of(tuple(row)) for row in rows)

    def put_mark(self, mark: PlayerMark) -> None:
        """Store, or replace the one of the same player and date."""
        if self._session.get(PlayerRow, mark.player_id) is None:
            raise NotFoundError("player", mark.player_id)
        self._session.merge(
            PlayerMarkRow(
                player_id=mark.player_id,
                on_day=mark.on,
                is_present=mark.is_present,
                mark=mark.mark,
                note=mark.note,
            )
        )
        self._session.flush()

    def remove_mark(self, player_id: int, on: date) -> None:
        """Forget whether a player was there on a day; nothing happens when that is not known."""
        self._session.execute(
            delete(PlayerMarkRow).where(PlayerMarkRow.player_id == player_id, PlayerMarkRow.on_day == on)
        )

    def marks(self, ensemble_id: int, on: date | None = None) -> Sequence[PlayerMark]:
        """Players' marks of an ensemble by date, of one day or of all."""
        found = (
            select(PlayerMarkRow)
            .join(PlayerRow, PlayerRow.id == PlayerMarkRow.player_id)
            .join(SectionRow, SectionRow.id == PlayerRow.section_id)
            .where(SectionRow.ensemble_id == ensemble_id)
        )
        if on is not None:
            found = found.where(PlayerMarkRow.on_day == on)
        rows = self._session.scalars(found.order_by(PlayerMarkRow.on_day, PlayerMarkRow.player_id))
        return tuple(PlayerMark(r.player_id, r.on_day, r.is_present, r.mark, r.note) for r in rows)


_RESULT = (
    "ensemble_id", "section_id", "piece_id", "on_day", "first_share", "second_share", "tempo_bpm", "problems",
    "note", "counts",
)  # fmt: skip
"""Columns of a result in the order of the fields of ``Result``."""


def _result_of(values: tuple[Any, ...]) -> Result:
    ensemble, section, piece, on, first, second, tempo, problems, note, counts = values
    return Result(ensemble, section, piece, on, first, second, tempo, tuple(problems), note, counts)
