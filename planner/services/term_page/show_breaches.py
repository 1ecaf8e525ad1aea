"""Planned pieces that somebody in the room can know by their day: what must be asked of the director."""

from dataclasses import dataclass
from datetime import date

from planner.core.ensemble import Ensemble
from planner.core.term import Slot, Term
from planner.scheduling.problem import OPEN_PIECE
from planner.services.plan.freshness import Known, known_by_day
from planner.services.ports.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class KnownSlot:
    """A planned reading that is not at sight for everybody.

    Attributes:
        slot: Which.
        title: Of its piece.
        known: Who can know it, and how.
    """

    slot: Slot
    title: str
    known: Known


def known_slots(work: UnitOfWork, term: Term, ensemble: Ensemble, today: date) -> tuple[KnownSlot, ...]:
    """Readings to come of a plan whose piece somebody in the room can know by then, in order.

    Second readings the director asked for are left out.

    Args:
        work: An open unit of work; nothing is changed.
        term: Whose plan.
        ensemble: Who reads.
        today: Days before it are past.
    """
    plan = work.terms.plan(term.id)
    slots = plan.slots if plan else ()
    again = {(w.piece_id, w.on) for w in work.terms.wishes(term.id) if w.kind == "again"}
    ahead = [
        s for s in slots if s.on >= today and s.piece_id != OPEN_PIECE and (s.piece_id, s.on) not in again
    ]
    if not ahead:
        return ()
    known = known_by_day(work, ensemble, sorted({slot.on for slot in ahead}), term=term, today=today)
    found = [slot for slot in ahead if slot.piece_id in known[slot.on]]
    titles = work.pieces.titles({slot.piece_id for slot in found}) if found else {}
    return tuple(KnownSlot(slot, titles[slot.piece_id], known[slot.on][slot.piece_id]) for slot in found)
