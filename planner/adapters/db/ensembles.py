"""Ensembles, sections, players and exposures in the database."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import cast

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from planner.adapters.db.tables import (
    EnsembleLevelRow,
    EnsembleRow,
    ExposureRow,
    FormPointsRow,
    PersonRow,
    PieceRow,
    PlayerMarkRow,
    PlayerRow,
    ResultRow,
    SectionRow,
    TermRow,
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

_ExposureValues = tuple[int, int, ExposureKind, date | None, int | None, str, int | None, int]


class SqlEnsembles:
    """``EnsembleRepository`` on SQLAlchemy."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, ensemble: Ensemble, *, as_id: int | None = None) -> int:
        """Store an ensemble with its sections and players; their ids are new, its own may be given.

        Raises:
            ConflictError: If the name is taken.
        """
        self._check_name(ensemble)
        row = EnsembleRow(id=as_id, name=ensemble.name, kind=ensemble.kind)
        self._session.add(row)
        self._session.flush()
        for section in ensemble.sections:
            self.add_section(row.id, section)
        return row.id

    def rename(self, ensemble_id: int, name: str, kind: str) -> None:
        """Store another name and kind of an ensemble.

        Raises:
            ConflictError: If the name is taken.
        """
        row = self._ensemble(ensemble_id)
        self._check_name(Ensemble(ensemble_id, name, kind))
        row.name, row.kind = name, kind
        self._session.flush()

    def remove(self, ensemble_id: int) -> None:
        """Take an ensemble out with its sections, players, marks, results, terms and what it has met."""
        row = self._ensemble(ensemble_id)
        sections = [section.id for section in row.sections]
        seats = [player.id for section in row.sections for player in section.players]
        for table, condition in (
            (PlayerMarkRow, PlayerMarkRow.player_id.in_(seats)),
            (ResultRow, ResultRow.ensemble_id == ensemble_id),
            (FormPointsRow, FormPointsRow.ensemble_id == ensemble_id),
            (ExposureRow, ExposureRow.ensemble_id == ensemble_id),
            (TermRow, TermRow.ensemble_id == ensemble_id),
            (EnsembleLevelRow, EnsembleLevelRow.ensemble_id == ensemble_id),
            (PlayerRow, PlayerRow.id.in_(seats)),
            (SectionRow, SectionRow.id.in_(sections)),
            (EnsembleRow, EnsembleRow.id == ensemble_id),
        ):
            self._session.execute(
                delete(table).where(condition), execution_options={"synchronize_session": False}
            )
        self._session.expire_all()

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

    def add_section(self, ensemble_id: int, section: Section, *, as_id: int | None = None) -> int:
        """Store a section with its players; its id is new unless it is given.

        Raises:
            ConflictError: If the ensemble has a section of that name.
        """
        ensemble = self._ensemble(ensemble_id)
        row = SectionRow(id=as_id, ensemble_id=ensemble_id)
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
        for table, what in (
            (ResultRow, "results"),
            (FormPointsRow, "points"),
            (ExposureRow, "pieces it has met"),
        ):
            found = select(table.section_id).where(table.section_id == section_id).limit(1)
            if self._session.scalar(found):
                raise ConflictError(
                    f"{row.name} cannot be removed: there are {what} of it.",
                    hint="Say on which day its players left instead.",
                )
        seats = [player.id for player in row.players]
        if self._session.scalar(
            select(PlayerMarkRow.player_id).where(PlayerMarkRow.player_id.in_(seats)).limit(1)
        ):
            raise ConflictError(
                f"{row.name} cannot be removed: there are marks of its players.",
                hint="Say on which day its players left instead.",
            )
        for player in row.players:
            self._session.delete(player)
        self._session.flush()
        self._session.delete(row)
        self._session.flush()
        self._session.expire_all()

    def add_player(self, section_id: int, player: Player, *, as_id: int | None = None) -> int:
        """Store a seat; without a person named, of the first of exactly that name, else of a new one."""
        section = self._section(section_id)
        person = player.person or self._person_named(player.name) or self.add_person(player.name)
        self._person(person)
        row = PlayerRow(
            id=as_id, section_id=section_id, person_id=person, joined=player.joined, gone_on=player.left
        )
        self._session.add(row)
        self._session.flush()
        self._session.expire(section, ["players"])
        return row.id

    def update_player(self, player: Player) -> None:
        """Store whose a seat is, its first day and the first day without them."""
        row = self._player(player.id)
        self._person(player.person)
        row.person_id, row.joined, row.gone_on = player.person, player.joined, player.left
        self._session.flush()
        self._session.expire(row, ["person"])

    def move_player(self, player_id: int, section_id: int) -> None:
        """Put a seat into another section."""
        row = self._player(player_id)
        old, new = self._section(row.section_id), self._section(section_id)
        row.section_id = section_id
        self._session.flush()
        for section in (old, new):
            self._session.expire(section, ["players"])

    def remove_player(self, player_id: int) -> None:
        """Take a seat out; the person stays known.

        Raises:
            ConflictError: If there are marks of it.
        """
        row = self._player(player_id)
        if self._session.scalar(
            select(PlayerMarkRow.player_id).where(PlayerMarkRow.player_id == player_id).limit(1)
        ):
            raise ConflictError(
                f"{row.person.name} cannot be removed: there are marks or days present.",
                hint="Enter the last day instead.",
            )
        section = self._section(row.section_id)
        self._session.delete(row)
        self._session.flush()
        self._session.expire(section, ["players"])

    def add_person(self, name: str) -> int:
        """Store somebody who has no seat yet."""
        row = PersonRow(name=name)
        self._session.add(row)
        self._session.flush()
        return row.id

    def people(self) -> Mapping[int, str]:
        """Names of everybody known, by identity."""
        rows = self._session.execute(select(PersonRow.id, PersonRow.name).order_by(PersonRow.id))
        return {row.id: row.name for row in rows}

    def rename_person(self, person_id: int, name: str) -> None:
        """Store another name of a person, on every seat they have."""
        self._person(person_id).name = name
        self._session.flush()

    def remove_person(self, person_id: int) -> None:
        """Take a person out with what they alone have met; a person with a seat stays."""
        seat = self._session.scalar(select(PlayerRow.id).where(PlayerRow.person_id == person_id).limit(1))
        if seat is not None:
            raise ConflictError("That player still has a seat.", hint="Take the seat out first.")
        for table, column in ((ExposureRow, ExposureRow.person_id), (PersonRow, PersonRow.id)):
            self._session.execute(delete(table).where(column == person_id))
        self._session.expire_all()

    def add_exposure(self, exposure: Exposure) -> None:
        """Store; the same exposure twice is kept once."""
        self._ensemble(exposure.ensemble_id)
        if self._session.get(PieceRow, exposure.piece_id) is None:
            raise NotFoundError("piece", exposure.piece_id)
        if exposure.section_id is not None:
            section = self._section(exposure.section_id)
            if section.ensemble_id != exposure.ensemble_id:
                raise NotFoundError("section", section.name, hint="It belongs to another ensemble.")
        if exposure.person is not None:
            self._person(exposure.person)
        if not self._alike(exposure):
            self._session.add(
                ExposureRow(
                    ensemble_id=exposure.ensemble_id,
                    section_id=exposure.section_id,
                    piece_id=exposure.piece_id,
                    how=exposure.how,
                    on_day=exposure.on,
                    note=exposure.note,
                    person_id=exposure.person,
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
                ExposureRow.person_id,
                ExposureRow.id,
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

    def _person(self, person_id: int) -> PersonRow:
        row = self._session.get(PersonRow, person_id)
        if row is None:
            raise NotFoundError("person", person_id)
        return row

    def _person_named(self, name: str) -> int | None:
        return self._session.scalar(
            select(PersonRow.id).where(PersonRow.name == name).order_by(PersonRow.id).limit(1)
        )

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
    players = tuple(
        Player(player.id, player.person.name, player.joined, player.gone_on, player.person_id)
        for player in row.players
    )
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
        row.ensemble_id, row.piece_id, cast("ExposureKind", row.how), row.on_day, row.section_id, row.note,
        row.person_id, row.id,
    )  # fmt: skip
