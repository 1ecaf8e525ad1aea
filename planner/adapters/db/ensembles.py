"""Ensembles, sections, players and exposures in the database."""

from collections.abc import Sequence
from datetime import date
from typing import cast

from sqlalchemy import select
from sqlalchemy.orm import Session

from planner.adapters.db.tables import (
    EnsembleRow,
    ExposureRow,
    PieceRow,
    PlayerRow,
    ResultRow,
    SectionRow,
)
from planner.core.ensemble import (
    Ensemble,
    Exposure,
    ExposureKind,
    Player,
    Section,
    basis_of,
    basis_values,
)
from planner.errors import ConflictError, NotFoundError

_ExposureValues = tuple[int, int, ExposureKind, date | None, int | None, str]


class SqlEnsembles:
    """``EnsembleRepository`` on SQLAlchemy."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, ensemble: Ensemble) -> int:
        """Store an ensemble with its sections and players; their ids are new.

        Raises:
            ConflictError: If the name is taken.
        """
        self._check_name(ensemble)
        row = EnsembleRow(name=ensemble.name, kind=ensemble.kind)
        self._session.add(row)
        self._session.flush()
        for section in ensemble.sections:
            self.add_section(row.id, section)
        return row.id

    def get(self, ensemble_id: int) -> Ensemble:
        """The ensemble, or ``NotFoundError``."""
        return _ensemble_of(self._ensemble(ensemble_id))

    def find_by_name(self, name: str) -> Ensemble | None:
        """The ensemble of that name, if it is there."""
        row = self._session.scalars(select(EnsembleRow).where(EnsembleRow.name == name)).unique().first()
        return _ensemble_of(row) if row else None

    def list_ensembles(self) -> Sequence[Ensemble]:
        """All ensembles, by name."""
        rows = self._session.scalars(select(EnsembleRow).order_by(EnsembleRow.name)).unique()
        return tuple(_ensemble_of(row) for row in rows)

    def add_section(self, ensemble_id: int, section: Section) -> int:
        """Store a section with its players.

        Raises:
            ConflictError: If the ensemble has a section of that name.
        """
        ensemble = self._ensemble(ensemble_id)
        row = SectionRow(ensemble_id=ensemble_id)
        _copy_section(row, section)
        self._check_section_name(row)
        self._session.add(row)
        self._session.flush()
        for player in section.players:
            self.add_player(row.id, player)
        self._session.expire(ensemble, ["sections"])
        return row.id

    def update_section(self, section: Section) -> None:
        """Store everything of a section but its players."""
        row = self._section(section.id)
        with self._session.no_autoflush:
            _copy_section(row, section)
            self._check_section_name(row)
        self._session.flush()

    def remove_section(self, section_id: int) -> None:
        """Take a section and its players out.

        Raises:
            ConflictError: If results or exposures speak of it.
        """
        row = self._section(section_id)
        for table, what in ((ResultRow, "results"), (ExposureRow, "pieces it has met")):
            found = select(table.section_id).where(table.section_id == section_id).limit(1)
            if self._session.scalar(found):
                raise ConflictError(
                    f"{row.name} cannot be removed: there are {what} of it.",
                    hint="Say on which day its players left instead.",
                )
        for player in row.players:
            self._session.delete(player)
        self._session.flush()
        self._session.delete(row)
        self._session.flush()
        self._session.expire_all()

    def add_player(self, section_id: int, player: Player) -> int:
        """Store a player in a section."""
        section = self._section(section_id)
        row = PlayerRow(section_id=section_id, name=player.name, joined=player.joined, gone_on=player.left)
        self._session.add(row)
        self._session.flush()
        self._session.expire(section, ["players"])
        return row.id

    def move_player(self, player_id: int, section_id: int) -> None:
        """Seat a player in another section."""
        row = self._player(player_id)
        old, new = self._section(row.section_id), self._section(section_id)
        row.section_id = section_id
        self._session.flush()
        for section in (old, new):
            self._session.expire(section, ["players"])

    def add_exposure(self, exposure: Exposure) -> None:
        """Store; the same exposure twice is kept once."""
        self._ensemble(exposure.ensemble_id)
        if self._session.get(PieceRow, exposure.piece_id) is None:
            raise NotFoundError("piece", exposure.piece_id)
        if exposure.section_id is not None:
            section = self._section(exposure.section_id)
            if section.ensemble_id != exposure.ensemble_id:
                raise NotFoundError("section", section.name, hint="It belongs to another ensemble.")
        if not self._alike(exposure):
            self._session.add(
                ExposureRow(
                    ensemble_id=exposure.ensemble_id,
                    section_id=exposure.section_id,
                    piece_id=exposure.piece_id,
                    how=exposure.how,
                    on_day=exposure.on,
                    note=exposure.note,
                )
            )
            self._session.flush()

    def remove_exposure(self, exposure: Exposure) -> None:
        """Take an exposure back; nothing happens when it is not there."""
        for row in self._alike(exposure):
            self._session.delete(row)
        self._session.flush()

    def exposures(self, ensemble_id: int | None = None) -> Sequence[Exposure]:
        """What an ensemble and its sections, or all of them, have met, in the order it was entered."""
        of_whom = () if ensemble_id is None else (ExposureRow.ensemble_id == ensemble_id,)
        rows = self._session.execute(
            select(
                ExposureRow.ensemble_id,
                ExposureRow.piece_id,
                ExposureRow.how,
                ExposureRow.on_day,
                ExposureRow.section_id,
                ExposureRow.note,
            )
            .where(*of_whom)
            .order_by(ExposureRow.id)
        )
        return tuple(Exposure(*cast("_ExposureValues", row)) for row in rows)

    def _alike(self, exposure: Exposure) -> Sequence[ExposureRow]:
        rows = self._session.scalars(
            select(ExposureRow).where(
                ExposureRow.ensemble_id == exposure.ensemble_id, ExposureRow.piece_id == exposure.piece_id
            )
        )
        return [row for row in rows if _exposure_of(row) == exposure]

    def _check_name(self, ensemble: Ensemble) -> None:
        there = self.find_by_name(ensemble.name)
        if there is not None and there.id != ensemble.id:
            raise ConflictError(f"There is an ensemble {ensemble.name} already.", hint="Choose another name.")

    def _check_section_name(self, row: SectionRow) -> None:
        taken = self._session.scalar(
            select(SectionRow.id).where(
                SectionRow.ensemble_id == row.ensemble_id,
                SectionRow.name == row.name,
                SectionRow.id != row.id,
            )
            if row.id
            else select(SectionRow.id).where(
                SectionRow.ensemble_id == row.ensemble_id, SectionRow.name == row.name
            )
        )
        if taken is not None:
            raise ConflictError(f"There is a section {row.name} already.", hint="Choose another name.")

    def _ensemble(self, ensemble_id: int) -> EnsembleRow:
        row = self._session.get(EnsembleRow, ensemble_id)
        if row is None:
            raise NotFoundError("ensemble", ensemble_id)
        return row

    def _section(self, section_id: int) -> SectionRow:
        row = self._session.get(SectionRow, section_id)
        if row is None:
            raise NotFoundError("section", section_id)
        return row

    def _player(self, player_id: int) -> PlayerRow:
        row = self._session.get(PlayerRow, player_id)
        if row is None:
            raise NotFoundError("player", player_id)
        return row


def _copy_section(row: SectionRow, section: Section) -> None:
    for name in ("name", "instrument", "chair", "size", "level", "level_error"):
        setattr(row, name, getattr(section, name))
    for name in ("start_level", "start_error", "start_on"):
        setattr(row, name, getattr(section, name))
    row.start_basis = basis_values(section.start_basis)


def _ensemble_of(row: EnsembleRow) -> Ensemble:
    return Ensemble(row.id, row.name, row.kind, tuple(_section_of(section) for section in row.sections))


def _section_of(row: SectionRow) -> Section:
    players = tuple(Player(player.id, player.name, player.joined, player.gone_on) for player in row.players)
    return Section(
        id=row.id,
        name=row.name,
        instrument=row.instrument,
        chair=row.chair,
        size=row.size,
        level=row.level,
        level_error=row.level_error,
        players=players,
        start_level=row.start_level,
        start_error=row.start_error,
        start_on=row.start_on,
        start_basis=basis_of(row.start_basis),
    )


def _exposure_of(row: ExposureRow) -> Exposure:
    return Exposure(
        row.ensemble_id, row.piece_id, cast("ExposureKind", row.how), row.on_day, row.section_id, row.note
    )
