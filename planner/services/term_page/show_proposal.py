"""What is proposed in place of a plan, day by day, with what the sections should get right."""

from dataclasses import dataclass
from datetime import date

from planner.core.ensemble import Ensemble
from planner.core.term import Slot, Term
from planner.services.plan.proposals import DayChange, Proposal, proposal_view
from planner.services.ports.work import UnitOfWork
from planner.services.read_once import read_once
from planner.services.term_page.show_term import TermRead, read_term
from planner.services.term_page.term_picture import SlotPicture, slot_picture


@dataclass(frozen=True, slots=True)
class ProposedDay:
    """One day that would change.

    Attributes:
        change: What changes, and why.
        before, after: The readings with their forecasts.
        culprit: Title of the piece that breaks a rule now; empty where it is not one piece alone.
    """

    change: DayChange
    before: tuple[SlotPicture, ...]
    after: tuple[SlotPicture, ...]
    culprit: str = ""


@dataclass(frozen=True, slots=True)
class ProposalView:
    """A proposal as its page shows it.

    Attributes:
        term, ensemble: For whom.
        proposal: What is proposed.
        days: The days that would change, in order.
        days_ahead: Reading days from today on.
    """

    term: Term
    ensemble: Ensemble
    proposal: Proposal
    days: tuple[ProposedDay, ...]
    days_ahead: int

    @property
    def filled(self) -> int:
        """How many places that are open now it fills, over those it opens."""
        return self.proposal.filled


def show_proposal(work: UnitOfWork, term: Term, ensemble: Ensemble, today: date) -> ProposalView | None:
    """What is proposed for a term; None when nothing is.

    Args:
        work: An open unit of work; nothing is changed.
        term: Which term.
        ensemble: Who reads.
        today: Days before it are past.
    """
    work = read_once(work)
    proposal = proposal_view(work, term.id)
    if proposal is None:
        return None
    read = read_term(work, term, ensemble, today, also={slot.piece_id for slot in proposal.slots})
    return ProposalView(
        term=term,
        ensemble=ensemble,
        proposal=proposal,
        days=tuple(
            ProposedDay(
                change,
                _pictures(read, change.before),
                _pictures(read, change.after),
                read.titles.get(change.piece_id or 0, ""),
            )
            for change in proposal.changes
        ),
        days_ahead=sum(1 for on in term.reading_dates() if on >= today),
    )


def _pictures(read: TermRead, slots: tuple[Slot, ...]) -> tuple[SlotPicture, ...]:
    return tuple(
        slot_picture(read.problem, slot, read.pieces[slot.piece_id], read.levels.get(slot.piece_id))
        for slot in slots
        if slot.piece_id in read.pieces
    )
