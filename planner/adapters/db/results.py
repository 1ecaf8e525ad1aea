"""Results of readings and players' marks in the database."""

import json
from collections.abc import Collection, Sequence
from datetime import date
from decimal import Decimal
from functools import lru_cache
from typing import Any

from sqlalchemy import Text, delete, select, type_coerce, union
from sqlalchemy.orm import Session

from planner.adapters.db.tables import (
    EnsembleRow,
    FormPointsRow,
    PieceRow,
    PlayerMarkRow,
    PlayerRow,
    ResultRow,
    SectionRow,
)
from planner.core.fact import Place
from planner.core.scoring_form import FilledForm, points_of, points_values
from planner.core.term import Attendance, PlayerMark, Result
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
        row.counts, row.fell_apart = result.counts, result.fell_apart
        row.wrong_bars = [list(place) for place in result.wrong_bars]
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
        found = select(*_RESULT)
        if ensemble_id is not None:
            found = found.where(ResultRow.ensemble_id == ensemble_id)
        if on is not None:
            found = found.where(ResultRow.on_day == on)
        rows = self._session.execute(found.order_by(ResultRow.on_day, ResultRow.id))
        return tuple(_result_of(tuple(row)) for row in rows)

    def put_points(self, filled: FilledForm) -> None:
        """Store the points of a form, in place of those of the same section, piece and date.

        Raises:
            NotFoundError: If the ensemble, the section in it or the piece is not there.
        """
        if self._session.get(EnsembleRow, filled.ensemble_id) is None:
            raise NotFoundError("ensemble", filled.ensemble_id)
        section = None if filled.section_id is None else self._session.get(SectionRow, filled.section_id)
        if filled.section_id is not None and (section is None or section.ensemble_id != filled.ensemble_id):
            raise NotFoundError("section", filled.section_id)
        if self._session.get(PieceRow, filled.piece_id) is None:
            raise NotFoundError("piece", filled.piece_id)
        self._session.merge(
            FormPointsRow(
                ensemble_id=filled.ensemble_id,
                on_day=filled.on,
                piece_id=filled.piece_id,
                for_section=filled.section_id or 0,
                section_id=filled.section_id,
                points=points_values(filled.points),
            )
        )
        self._session.flush()

    def remove_points(self, ensemble_id: int, piece_id: int, on: date, section_id: int | None) -> None:
        """Take the points of a form out; nothing happens when there are none."""
        self._session.execute(
            delete(FormPointsRow).where(
                FormPointsRow.ensemble_id == ensemble_id,
                FormPointsRow.piece_id == piece_id,
                FormPointsRow.on_day == on,
                FormPointsRow.for_section == (section_id or 0),
            )
        )
        self._session.expire_all()

    def points(self, ensemble_id: int | None = None, on: date | None = None) -> Sequence[FilledForm]:
        """Points of scoring forms by date, of one ensemble or of all, of one day or of all."""
        found = select(FormPointsRow)
        if ensemble_id is not None:
            found = found.where(FormPointsRow.ensemble_id == ensemble_id)
        if on is not None:
            found = found.where(FormPointsRow.on_day == on)
        order = (FormPointsRow.on_day, FormPointsRow.piece_id, FormPointsRow.for_section)
        return tuple(
            FilledForm(row.ensemble_id, row.piece_id, row.on_day, row.section_id, points_of(row.points))
            for row in self._session.scalars(found.order_by(*order))
        )

    def pieces_read(self) -> frozenset[int]:
        """Pieces that any ensemble has a result or points of."""
        return frozenset(
            self._session.scalars(union(select(ResultRow.piece_id), select(FormPointsRow.piece_id)))
        )

    def put_mark(self, mark: PlayerMark) -> None:
        """Store, or replace the one of the same player and date."""
        if self._session.get(PlayerRow, mark.player_id) is None:
            raise NotFoundError("player", mark.player_id)
        self._session.merge(
            PlayerMarkRow(
                player_id=mark.player_id,
                on_day=mark.on,
                attendance=mark.attendance,
                mark=None if mark.mark is None else f"{mark.mark:f}",
                made_up_on=mark.made_up_on,
                note=mark.note,
            )
        )
        self._session.flush()

    def remove_mark(self, player_id: int, on: date) -> None:
        """Take out what was entered of a player on a day; nothing happens when there is nothing."""
        self._session.execute(
            delete(PlayerMarkRow).where(PlayerMarkRow.player_id == player_id, PlayerMarkRow.on_day == on)
        )
        self._session.expire_all()

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
        return tuple(_mark_of(row) for row in rows)


_RESULT = (
    ResultRow.ensemble_id, ResultRow.section_id, ResultRow.piece_id, ResultRow.on_day, ResultRow.first_share,
    ResultRow.second_share, ResultRow.tempo_bpm, type_coerce(ResultRow.problems, Text), ResultRow.note,
    ResultRow.counts, ResultRow.fell_apart, type_coerce(ResultRow.wrong_bars, Text),
)  # fmt: skip
"""Columns of a result in the order of the fields of ``Result``; lists as they are stored."""


def _mark_of(row: PlayerMarkRow) -> PlayerMark:
    return PlayerMark(
        row.player_id, row.on_day, Attendance(row.attendance) if row.attendance else None,
        Decimal(row.mark) if row.mark is not None else None, row.made_up_on, row.note,
    )  # fmt: skip


def _result_of(values: tuple[Any, ...]) -> Result:
    ensemble, section, piece, on, first, second, tempo, problems, note, counts, fell_apart, bars = values
    return Result(
        ensemble, section, piece, on, first, second, tempo, _problems(problems), note, counts, fell_apart,
        _bars(bars),
    )  # fmt: skip


def _problems(stored: str | list[str]) -> tuple[str, ...]:
    """The problems of a result: thousands of results name the same few. PostgreSQL reads the list itself."""
    return _read_problems(stored) if isinstance(stored, str) else tuple(stored)


def _bars(stored: str | list[list[int]]) -> tuple[Place, ...]:
    """The wrong bars of a result; most have none."""
    if stored in ("[]", []):
        return ()
    places = json.loads(stored) if isinstance(stored, str) else stored
    return tuple((first, last) for first, last in places)


@lru_cache(maxsize=512)
def _read_problems(stored: str) -> tuple[str, ...]:
    return tuple(json.loads(stored))
