"""What became of the director's wishes: which a plan does not meet yet, and what a changed one says."""

from collections.abc import Sequence
from datetime import date

from planner.core.term import Plan, Wish
from planner.services.ports.work import UnitOfWork
from planner.wording.director.wishes import wished_sentence, withdrawn_sentence


def waiting_wishes(plan: Plan | None, wishes: Sequence[Wish], today: date) -> tuple[Wish, ...]:
    """Wishes for days to come that a plan does not meet; all of them where there is no plan.

    Example:
        >>> waiting_wishes(None, [Wish("banned", 3), Wish("pinned", 3, date(2026, 9, 1))], date(2026, 9, 2))
        (Wish(kind='banned', piece_id=3, on=None),)
    """
    ahead = [slot for slot in (plan.slots if plan else ()) if slot.on >= today]
    stands = {(slot.piece_id, slot.on) for slot in ahead} | {(slot.piece_id, None) for slot in ahead}
    return tuple(
        wish
        for wish in wishes
        if (wish.on is None or wish.on >= today)
        and (plan is None or ((wish.piece_id, wish.on) in stands) == (wish.kind == "banned"))
    )


def wish_note(
    work: UnitOfWork, term_id: int, before: Sequence[Wish], after: Sequence[Wish], today: date
) -> str:
    """What a change of the wishes of a term says for itself; empty when nothing changed.

    Args:
        work: An open unit of work; nothing is changed.
        term_id: The term.
        before: Its wishes as they were.
        after: Its wishes as they are.
        today: Days before it are past.
    """
    new = [wish for wish in after if wish not in before]
    gone = [wish for wish in before if wish not in after]
    titles = work.pieces.titles({wish.piece_id for wish in (*new, *gone)})
    if not new:
        return " ".join(withdrawn_sentence(wish.kind, titles[wish.piece_id], wish.on) for wish in gone)
    wish, plan = new[0], work.terms.plan(term_id)
    return wished_sentence(
        wish.kind,
        titles[wish.piece_id],
        wish.on,
        was=gone[0] if gone else None,
        waits=bool(waiting_wishes(plan, [wish], today)),
    )
