"""Terms, wishes and plans in the database."""

from collections.abc import Collection, Mapping, Sequence
from datetime import date
from typing import Any, Literal, cast

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from planner.adapters.db.tables import (
    WHOLE_ENSEMBLE,
    AbsentSectionRow,
    DayShapeRow,
    EnsembleRow,
    PlanRow,
    PrintedGuidesRow,
    ProposalRow,
    SlotRow,
    StationRow,
    StationSectionRow,
    TermAimRow,
    TermConcertRow,
    TermDayOffRow,
    TermRow,
    TermWeekdayRow,
    WishRow,
)
from planner.adapters.db.term_parts import TermParts, read_terms
from planner.core.change import Values
from planner.core.mark_scheme import scheme_of, scheme_values
from planner.core.piece import PieceUse, proposed_pieces
from planner.core.profile import from_plain
from planner.core.scoring_form import form_of, form_values
from planner.core.term import DayShape, Plan, Reason, Slot, Term, Wish, reason_values
from planner.errors import ConflictError, NotFoundError


class SqlTerms:
    """``TermRepository`` on SQLAlchemy."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, term: Term) -> int:
        """Store a term, under its own id if it has one: a term that was taken out comes back as itself.

        Raises:
            ConflictError: If the ensemble has a term of that name.
            NotFoundError: If the ensemble is not there.
        """
        if self._session.get(EnsembleRow, term.ensemble_id) is None:
            raise NotFoundError("ensemble", term.ensemble_id)
        self._check_name(term)
        row = TermRow(id=term.id or None)
        self._copy(row, term)
        self._session.add(row)
        self._session.flush()
        return row.id

    def update(self, term: Term) -> None:
        """Store what changed in a term; its wishes and plan stay."""
        row = self._row(term.id)
        self._check_name(term)
        row.weekdays, row.days_off, row.aims, row.concerts, row.shapes = [], [], [], [], []
        self._session.flush()
        self._copy(row, term)
        self._session.flush()

    def remove(self, term_id: int) -> None:
        """Take a term out with its wishes and its plan; results stay."""
        row = self._row(term_id)
        plan = self._session.get(PlanRow, term_id)
        if plan is not None:
            self._session.delete(plan)
        self._session.delete(row)
        self._session.flush()

    def get(self, term_id: int) -> Term:
        """The term, or ``NotFoundError``."""
        found = read_terms(self._session, TermRow.id == term_id)
        if not found:
            raise NotFoundError("term", term_id)
        return _term_of(*found[0])

    def list_terms(self, ensemble_id: int | None = None) -> Sequence[Term]:
        """Terms by first day, of one ensemble or of all."""
        of_one = [TermRow.ensemble_id == ensemble_id] if ensemble_id is not None else []
        return tuple(_term_of(row, parts) for row, parts in read_terms(self._session, *of_one))

    def set_wishes(self, term_id: int, wishes: Sequence[Wish]) -> None:
        """Store the wishes of a term in place of those before."""
        self._row(term_id)
        self._session.execute(delete(WishRow).where(WishRow.term_id == term_id))
        self._session.add_all(
            WishRow(term_id=term_id, position=n, kind=w.kind, piece_id=w.piece_id, on_day=w.on)
            for n, w in enumerate(wishes)
        )
        self._session.flush()

    def wishes(self, term_id: int) -> Sequence[Wish]:
        """The wishes of a term, as they were set."""
        rows = self._session.scalars(
            select(WishRow).where(WishRow.term_id == term_id).order_by(WishRow.position)
        )
        return tuple(
            Wish(cast("Literal['pinned', 'banned', 'again']", row.kind), row.piece_id, row.on_day)
            for row in rows
        )

    def piece_uses(self) -> Mapping[int, PieceUse]:
        """Pieces that are wished for, proposed or planned in any term."""
        uses = dict.fromkeys(self._session.scalars(select(WishRow.piece_id).distinct()), PieceUse.WISHED)
        for proposal in self._session.scalars(select(ProposalRow.proposal)):
            uses |= dict.fromkeys(proposed_pieces(proposal), PieceUse.PROPOSED)
        return uses | dict.fromkeys(
            self._session.scalars(select(SlotRow.piece_id).distinct()), PieceUse.PLANNED
        )

    def save_plan(self, plan: Plan) -> None:
        """Store as the term's current plan, in place of the one before."""
        self._row(plan.term_id)
        old = self._session.get(PlanRow, plan.term_id)
        if old is not None:
            self._session.delete(old)
            self._session.flush()
        row = PlanRow(
            term_id=plan.term_id, cost=plan.cost, bound=plan.bound, is_proven=plan.is_proven,
            made_from=plan.made_from,
        )  # fmt: skip
        row.slots = [_slot_row(slot) for slot in plan.slots]
        self._session.add(row)
        self._session.flush()

    def plan(self, term_id: int) -> Plan | None:
        """The current plan of a term, if it has one."""
        row = self._session.get(PlanRow, term_id)
        return _plan_of(row) if row is not None else None

    def plans(self, term_ids: Collection[int]) -> Mapping[int, Plan]:
        """The current plans of those terms that have one, by term."""
        if not term_ids:
            return {}
        found = select(PlanRow).where(PlanRow.term_id.in_(sorted(term_ids)))
        return {row.term_id: _plan_of(row) for row in self._session.scalars(found).unique()}

    def planned(self, term_ids: Collection[int]) -> Mapping[int, Sequence[Slot]]:
        """What the current plans of some terms have, by term, in their order; without the reasons."""
        if not term_ids:
            return {}
        columns = [getattr(SlotRow, name) for name in _BARE_SLOT]
        rows = self._session.execute(
            select(SlotRow.term_id, SlotRow.station, *columns)
            .where(SlotRow.term_id.in_(sorted(set(term_ids))))
            .order_by(SlotRow.on_day, SlotRow.position, SlotRow.station)
        )
        found: dict[int, list[Slot]] = {}
        for row in rows:
            found.setdefault(row.term_id, []).append(_bare_slot(tuple(row[1:])))
        return found

    def save_proposal(self, term_id: int, values: Values) -> None:
        """Store what is proposed for a term, in place of the proposal before."""
        self._row(term_id)
        self.remove_proposal(term_id)
        self._session.add(ProposalRow(term_id=term_id, proposal=dict(values)))
        self._session.flush()

    def proposal(self, term_id: int) -> Values | None:
        """What is proposed for a term, as it was stored."""
        row = self._session.get(ProposalRow, term_id)
        return row.proposal if row is not None else None

    def remove_proposal(self, term_id: int) -> None:
        """Take a proposal out; nothing happens when there is none."""
        row = self._session.get(ProposalRow, term_id)
        if row is not None:
            self._session.delete(row)
            self._session.flush()

    def note_printed(self, term_id: int, on: date, piece_ids: Collection[int]) -> None:
        """Store for which pieces the guides of a day were printed last."""
        self._row(term_id)
        self._session.execute(
            delete(PrintedGuidesRow).where(PrintedGuidesRow.term_id == term_id, PrintedGuidesRow.on_day == on)
        )
        self._session.add_all(
            PrintedGuidesRow(term_id=term_id, on_day=on, piece_id=piece) for piece in sorted(set(piece_ids))
        )
        self._session.flush()

    def printed(self, term_id: int) -> Mapping[date, frozenset[int]]:
        """By day of a term, the pieces for which guides were printed last."""
        rows = self._session.scalars(select(PrintedGuidesRow).where(PrintedGuidesRow.term_id == term_id))
        found: dict[date, frozenset[int]] = {}
        for row in rows:
            found[row.on_day] = found.get(row.on_day, frozenset()) | {row.piece_id}
        return found

    def _row(self, term_id: int) -> TermRow:
        row = self._session.get(TermRow, term_id)
        if row is None:
            raise NotFoundError("term", term_id)
        return row

    def _check_name(self, term: Term) -> None:
        taken = select(TermRow.id).where(
            TermRow.ensemble_id == term.ensemble_id, TermRow.name == term.name, TermRow.id != term.id
        )
        if self._session.scalar(taken) is not None:
            raise ConflictError(
                f"There is a term {term.name} already.", hint="Choose another name.", field="name"
            )

    @staticmethod
    def _copy(row: TermRow, term: Term) -> None:
        row.ensemble_id, row.name = term.ensemble_id, term.name
        row.first_day, row.last_day = term.first, term.last
        row.minutes, row.slots_a_day = term.minutes, term.slots
        row.start_level, row.target_level = term.start_level, term.target_level
        row.announced_days = term.announced_days
        row.aims = [TermAimRow(on_day=on, level=level) for on, level in term.aims]
        row.concerts = [TermConcertRow(on_day=on) for on in term.concerts]
        row.shapes = [_shape_row(shape) for shape in term.shapes]
        row.starts_at, row.time_zone = term.starts_at, term.time_zone
        row.procedures = {on.isoformat(): slug for on, slug in term.procedures}
        row.mark_scheme, row.scoring_form = scheme_values(term.marks), form_values(term.form)
        row.weekdays = [TermWeekdayRow(position=n, weekday=day) for n, day in enumerate(term.weekdays)]
        row.days_off = [TermDayOffRow(position=n, on_day=day) for n, day in enumerate(term.days_off)]


def _term_of(row: TermRow, parts: TermParts) -> Term:
    return Term(
        id=row.id,
        ensemble_id=row.ensemble_id,
        name=row.name,
        first=row.first_day,
        last=row.last_day,
        weekdays=tuple(parts.weekdays),
        days_off=tuple(parts.days_off),
        minutes=row.minutes,
        slots=row.slots_a_day,
        start_level=row.start_level,
        target_level=row.target_level,
        aims=tuple(parts.aims),
        concerts=tuple(parts.concerts),
        shapes=tuple(parts.shapes),
        announced_days=row.announced_days,
        starts_at=row.starts_at,
        time_zone=row.time_zone,
        marks=scheme_of(row.mark_scheme),
        procedures=tuple((date.fromisoformat(on), slug) for on, slug in sorted(row.procedures.items())),
        form=form_of(row.scoring_form),
    )


def _shape_row(shape: DayShape) -> DayShapeRow:
    row = DayShapeRow(on_day=shape.on, minutes=shape.minutes, slots=shape.slots)
    row.absent = [AbsentSectionRow(section_id=section) for section in shape.absent]
    row.stations = [
        StationRow(
            position=position,
            name=station.name,
            sections=[
                StationSectionRow(section_id=section, place=place)
                for place, section in enumerate(station.section_ids)
            ],
        )
        for position, station in enumerate(shape.stations)
    ]
    return row


def _plan_of(row: PlanRow) -> Plan:
    slots = sorted(row.slots, key=lambda slot: (slot.on_day, slot.position, slot.station))
    return Plan(
        row.term_id,
        tuple(_slot_of(slot) for slot in slots),
        row.cost,
        row.bound,
        row.is_proven,
        row.made_from,
    )


_BARE_SLOT = ("on_day", "position", "piece_id", "focus", "featured_section_id", "minutes", "is_pinned")
"""Columns of a slot in the order of the first fields of ``Slot``."""


def _bare_slot(values: tuple[Any, ...]) -> Slot:
    """A slot without reasons: its station, then the columns of ``_BARE_SLOT``."""
    station, on, position, piece, focus, featured, minutes, is_pinned = values
    own = None if station == WHOLE_ENSEMBLE else station
    return Slot(on, position, piece, focus, featured, minutes, is_pinned, station=own)


def _slot_row(slot: Slot) -> SlotRow:
    return SlotRow(
        on_day=slot.on,
        position=slot.position,
        station=WHOLE_ENSEMBLE if slot.station is None else slot.station,
        piece_id=slot.piece_id,
        focus=slot.focus,
        featured_section_id=slot.featured_section_id,
        minutes=slot.minutes,
        is_pinned=slot.is_pinned,
        reasons=[reason_values(reason) for reason in slot.reasons],
    )


def _slot_of(row: SlotRow) -> Slot:
    return Slot(
        on=row.on_day,
        position=row.position,
        piece_id=row.piece_id,
        focus=row.focus,
        featured_section_id=row.featured_section_id,
        minutes=row.minutes,
        is_pinned=row.is_pinned,
        reasons=from_plain(tuple[Reason, ...], row.reasons, is_old=True),
        station=None if row.station == WHOLE_ENSEMBLE else row.station,
    )
