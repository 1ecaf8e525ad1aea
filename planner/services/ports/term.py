"""What is stored of terms and their days: plans, calendars, clocks, results and marks."""

from collections.abc import Collection, Mapping, Sequence
from datetime import date
from typing import Protocol

from planner.core.change import Values
from planner.core.day_clock import DayClock
from planner.core.piece import PieceUse
from planner.core.published import PublishedDay
from planner.core.scoring_form import FilledForm
from planner.core.term import Plan, PlayerMark, Result, Slot, Term, Wish


class TermRepository(Protocol):
    """Terms, the director's wishes for them, and their plans."""

    def add(self, term: Term) -> int:
        """Store a term, under its own id if it has one: a term that was taken out comes back as itself.

        Raises:
            ConflictError: If the ensemble has a term of that name.
            NotFoundError: If the ensemble is not there.
        """
        ...

    def update(self, term: Term) -> None: ...
    def remove(self, term_id: int) -> None:
        """Take a term out with its wishes and its plan; results stay."""
        ...

    def get(self, term_id: int) -> Term: ...
    def list_terms(self, ensemble_id: int | None = None) -> Sequence[Term]: ...
    def set_wishes(self, term_id: int, wishes: Sequence[Wish]) -> None: ...
    def wishes(self, term_id: int) -> Sequence[Wish]: ...
    def piece_uses(self) -> Mapping[int, PieceUse]:
        """Pieces that are wished for, proposed or planned in any term, each with the strongest of these."""
        ...

    def save_plan(self, plan: Plan) -> None:
        """Store as the term's current plan, in place of the one before."""
        ...

    def plan(self, term_id: int) -> Plan | None: ...
    def plans(self, term_ids: Collection[int]) -> Mapping[int, Plan]:
        """The current plans of those terms that have one, by term."""
        ...

    def planned(self, term_ids: Collection[int]) -> Mapping[int, Sequence[Slot]]:
        """What the current plans of some terms have, by term, in their order; without the reasons."""
        ...

    def save_proposal(self, term_id: int, values: Values) -> None:
        """Store what is proposed in place of the plan in force, in place of the proposal before."""
        ...

    def proposal(self, term_id: int) -> Values | None:
        """What is proposed for a term, as it was stored."""
        ...

    def remove_proposal(self, term_id: int) -> None:
        """Take a proposal out; nothing happens when there is none."""
        ...

    def note_printed(self, term_id: int, on: date, piece_ids: Collection[int]) -> None:
        """Store for which pieces the guides of a day were printed last."""
        ...

    def printed(self, term_id: int) -> Mapping[date, frozenset[int]]:
        """By day of a term, the pieces for which guides were printed last."""
        ...


class PublishedDayRepository(Protocol):
    """What calendar files say of the days of terms."""

    def days(self, term_id: int) -> Sequence[PublishedDay]:
        """Every day of a term that was ever written, by date."""
        ...

    def put(self, term_id: int, days: Sequence[PublishedDay]) -> None:
        """Store some days of a term, or replace those of the same dates.

        Raises:
            NotFoundError: If there is no such term.
        """
        ...


class DayClockRepository(Protocol):
    """The clocks of reading days."""

    def find(self, term_id: int, on: date) -> DayClock | None:
        """The clock of a day; None where nobody has pressed yet."""
        ...

    def put(self, clock: DayClock) -> None:
        """Store a clock in place of the one of the same day.

        Raises:
            NotFoundError: If there is no such term.
        """
        ...


class ResultRepository(Protocol):
    """Results of readings and the players' own marks."""

    def put(self, result: Result) -> None:
        """Store, or replace the one of the same section, piece and date."""
        ...

    def remove(self, section_id: int, piece_id: int, on: date) -> None:
        """Take a result out; nothing happens when there is none."""
        ...

    def ensembles_that_read(self, piece_ids: Collection[int]) -> Sequence[int]:
        """The ensembles that have results of some of these pieces."""
        ...

    def list_results(self, ensemble_id: int | None = None, on: date | None = None) -> Sequence[Result]:
        """Results by date, of one ensemble or of all, of one day or of all."""
        ...

    def put_points(self, filled: FilledForm) -> None:
        """Store the points of a form, in place of those of the same section, piece and date.

        Raises:
            NotFoundError: If the ensemble, the section in it or the piece is not there.
        """
        ...

    def remove_points(self, ensemble_id: int, piece_id: int, on: date, section_id: int | None) -> None:
        """Take the points of a form out; nothing happens when there are none."""
        ...

    def points(self, ensemble_id: int | None = None, on: date | None = None) -> Sequence[FilledForm]:
        """Points of scoring forms by date, of one ensemble or of all, of one day or of all."""
        ...

    def pieces_read(self) -> frozenset[int]:
        """Pieces that any ensemble has a result or points of."""
        ...

    def put_mark(self, mark: PlayerMark) -> None:
        """Store what was entered of a player on a day, in place of what was."""
        ...

    def remove_mark(self, player_id: int, on: date) -> None:
        """Take out what was entered of a player on a day; nothing happens when there is nothing."""
        ...

    def marks(self, ensemble_id: int, on: date | None = None) -> Sequence[PlayerMark]: ...
