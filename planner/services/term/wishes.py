"""The director's wishes for a term: pin a piece to a day, keep it off, read it again; change and take back.

A wish that cannot hold is refused at once, with the reason, and not stored. What only estimates speak
against (a section likely lost, too few players with a part, a day that is announced) can be insisted on.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal

from planner.core.change import Author, ChangeKind
from planner.core.term import Reason, ReasonKind, Slot, Term, Wish, again_minutes
from planner.errors import ConflictError, InputError, NotFoundError
from planner.matching.copies import lacks_copies
from planner.scheduling import check
from planner.scheduling.answer import Cause
from planner.scheduling.explanation.causes import why_not
from planner.scheduling.explanation.pins import pin_conflict
from planner.scheduling.problem import Limits, PlanProblem, PlanWish
from planner.services.changes.journal import recorded
from planner.services.changes.term_record import term_subject
from planner.services.plan.term_facts import read_facts
from planner.services.plan.term_problem import TermFacts, build_problem
from planner.services.ports.work import UnitOfWork
from planner.wording.director.conflict import conflict_sentences
from planner.wording.director.on_paper import lacks_note
from planner.wording.director.wishes import (
    known_sentence,
    refusal_sentences,
    short_copies_sentence,
    stands_already_sentence,
    wish_phrase,
)
from planner.wording.words import short_day

INSISTED = frozenset({check.FORCES, check.READABLE})
"""Rules that do not bind a pinned piece, once the director insists: they rest on estimates."""

INSIST_HINT = "Insist on it (in a command with --anyway), or choose another day."

Kind = Literal["pinned", "banned", "again"]


@dataclass(frozen=True, slots=True)
class _Ask:
    """A wish that is asked for, with what it is held against."""

    term: Term
    wish: Wish
    title: str
    wishes: tuple[Wish, ...]

    def others(self, kind: Kind, on: date | None) -> list[Wish]:
        """Wishes of a kind for a day, for other pieces."""
        return [w for w in self.wishes if (w.kind, w.on) == (kind, on) and w.piece_id != self.wish.piece_id]


def pin(
    work: UnitOfWork,
    term_id: int,
    piece_id: int,
    on: date | None,
    today: date,
    *,
    by: Author,
    anyway: bool = False,
) -> tuple[Wish, ...]:
    """Fix a piece to a day, or without one to the first day that suits; in place of an earlier pin of it.

    It takes effect when the term is planned again; where the piece stands there already nothing moves.

    Args:
        work: An open unit of work.
        term_id: The term.
        piece_id: What to pin.
        on: The reading day; None for any.
        today: Days before it are past.
        by: Who pins it.
        anyway: Insist although a section is likely lost, few have a part, or the day is announced.

    Raises:
        NotFoundError: If term, piece or reading day does not exist.
        ConflictError: If it cannot hold, with the reason; nothing is stored.
    """
    ask = _asked(work, term_id, Wish("pinned", piece_id, on), today)
    return _store(work, ask, _with_wish(work, ask, today, is_insisted=anyway), by)


def ban(
    work: UnitOfWork, term_id: int, piece_id: int, on: date | None, today: date, *, by: Author
) -> tuple[Wish, ...]:
    """Keep a piece off a day, or without one out of the term; takes effect when planned again.

    Raises:
        NotFoundError: If term, piece or reading day does not exist.
        ConflictError: If the day is past, or the piece is pinned to it or read again on it.
    """
    ask = _asked(work, term_id, Wish("banned", piece_id, on), today)
    return _store(work, ask, _with_wish(work, ask, today), by)


def read_again(
    work: UnitOfWork,
    term_id: int,
    piece_id: int,
    on: date,
    today: date,
    *,
    by: Author,
    anyway: bool = False,
) -> tuple[Wish, ...]:
    """Have a piece that was read, or will have been by then, read a second time.

    It takes one of the day's places and half of its own minutes.

    Args:
        work: An open unit of work.
        term_id: The term.
        piece_id: What to read again.
        on: The reading day.
        today: Days before it are past.
        by: Who asks for it.
        anyway: Insist although the day is announced.

    Raises:
        NotFoundError: If term, piece or reading day does not exist.
        ConflictError: If it cannot hold, with the reason; nothing is stored.
    """
    ask = _asked(work, term_id, Wish("again", piece_id, on), today)
    return _store(work, ask, _with_wish(work, ask, today, is_insisted=anyway), by)


def withdraw_wish(
    work: UnitOfWork, term_id: int, piece_id: int, on: date | None, *, by: Author
) -> tuple[Wish, ...]:
    """Take back what the director wished of a piece for a day, or for the whole term.

    Raises:
        NotFoundError: If term or piece does not exist, or there is no such wish.
    """
    term, title = work.terms.get(term_id), work.pieces.get(piece_id).title
    wishes = tuple(work.terms.wishes(term_id))
    kept = tuple(w for w in wishes if not (w.piece_id == piece_id and w.on == on))
    if kept == wishes:
        raise _no_wish(title, on)
    gone = next(w for w in wishes if w not in kept)
    return _store(work, _Ask(term, gone, title, wishes), kept, by)


def move_wish(
    work: UnitOfWork,
    term_id: int,
    wish: Wish,
    on: date | None,
    today: date,
    *,
    by: Author,
    anyway: bool = False,
) -> tuple[Wish, ...]:
    """Give a wish another day, as one change; where it cannot hold there, it stays as it was.

    Args:
        work: An open unit of work.
        term_id: The term.
        wish: As it is.
        on: Its other day; None for any day of the term.
        today: Days before it are past.
        by: Who moves it.
        anyway: Insist, as for ``pin`` and ``read_again``.

    Raises:
        NotFoundError: If the wish is not there, or the day is no reading day.
        ConflictError: If it cannot hold on that day, with the reason.
        InputError: If a second reading is to be without a day.
    """
    if wish.kind == "again" and on is None:
        raise InputError("A second reading needs its day.", hint="Choose a reading day.", field="to")
    ask = _asked(work, term_id, replace(wish, on=on), today)
    if wish not in ask.wishes:
        raise _no_wish(ask.title, wish.on)
    ask = replace(ask, wishes=tuple(each for each in ask.wishes if each != wish))
    return _store(work, ask, _with_wish(work, ask, today, is_insisted=anyway), by)


def _with_wish(work: UnitOfWork, ask: _Ask, today: date, *, is_insisted: bool = False) -> tuple[Wish, ...]:
    """The wishes with the one that is asked for.

    Raises:
        ConflictError: If it cannot hold, with the reason.
    """
    wish = ask.wish
    if wish in ask.wishes:
        return ask.wishes
    _refuse_contradiction(ask)
    kept = [w for w in ask.wishes if not (wish.kind == "pinned" == w.kind and w.piece_id == wish.piece_id)]
    if wish.kind == "banned":
        return (*kept, wish)
    if wish.kind == "again":
        _refuse_unread(work, ask)
    facts = replace(read_facts(work, ask.term.id, today, only=[wish.piece_id]), wishes=(*kept, wish))
    if wish.kind == "again":
        _refuse_announced(facts, ask, is_insisted=is_insisted)
        _refuse_no_room(facts, ask)
        return facts.wishes
    ahead = [day for day in facts.term.reading_dates() if day >= today] if wish.on is None else [wish.on]
    if not any(slot.piece_id == wish.piece_id for day in ahead for slot in facts.planned(day)):
        _refuse_announced(facts, ask, is_insisted=is_insisted)
        _refuse_pin(facts, ask, is_insisted=is_insisted)
    return facts.wishes


def wish_for(work: UnitOfWork, term_id: int, piece_id: int, on: date | None) -> Wish:
    """What is wished of a piece for a day, or without one for the whole term.

    Raises:
        NotFoundError: If nothing is.
    """
    for wish in work.terms.wishes(term_id):
        if (wish.piece_id, wish.on) == (piece_id, on):
            return wish
    raise _no_wish(work.pieces.get(piece_id).title, on)


def _no_wish(title: str, on: date | None) -> NotFoundError:
    where = f"on {short_day(on)}" if on else "for the whole term"
    return NotFoundError("wish", f"for “{title}” {where}", hint="It may have been taken back already.")


def _asked(work: UnitOfWork, term_id: int, wish: Wish, today: date) -> _Ask:
    """A wish for a day to come of a term.

    Raises:
        NotFoundError: If term, piece or reading day does not exist.
        ConflictError: If the day is past, or something is logged for it.
    """
    term, title = work.terms.get(term_id), work.pieces.get(wish.piece_id).title
    if wish.on is not None:
        refuse_past(work, term, wish.on, today)
    return _Ask(term, wish, title, tuple(work.terms.wishes(term_id)))


def refuse_past(work: UnitOfWork, term: Term, on: date, today: date) -> None:
    """Let nothing change on a day that is over.

    Raises:
        NotFoundError: If it is no reading day.
        ConflictError: If it is a day off or past, or something is logged for it.
    """
    if term.is_day_off(on):
        raise ConflictError(f"{short_day(on)} is a day off.", hint="Make it a reading day again first.")
    if on not in term.reading_dates():
        raise NotFoundError("reading day", f"{on} in {term.name}", hint="Look at the term for its days.")
    if on < today:
        raise ConflictError(f"{short_day(on)} is past and stays as it was.", hint="Choose a day to come.")
    if any(result.on == on for result in work.results.list_results(term.ensemble_id, on)):
        raise ConflictError(
            f"Results of {short_day(on)} are logged; it stays as it was.", hint="Choose a day to come."
        )


def _refuse_contradiction(ask: _Ask) -> None:
    wish = ask.wish
    for other in ask.wishes:
        if other.piece_id != wish.piece_id or other.kind == wish.kind:
            continue
        is_same_day = other.on == wish.on
        is_ban_of_all = Wish("banned", wish.piece_id) in (other, wish)
        is_before = {other.kind, wish.kind} == {"pinned", "again"} and _pin_is_late(other, wish)
        if (("banned" in (other.kind, wish.kind)) and (is_same_day or is_ban_of_all)) or is_before:
            raise ConflictError(
                f"{wish_phrase(other.kind, ask.title, other.on)}.", hint="Take that back first."
            )


def _pin_is_late(one: Wish, other: Wish) -> bool:
    """Whether of a pin and a second reading the pin does not come first."""
    first, again = (one, other) if one.kind == "pinned" else (other, one)
    return first.on is not None and again.on is not None and first.on >= again.on


def _refuse_announced(facts: TermFacts, ask: _Ask, *, is_insisted: bool) -> None:
    on = ask.wish.on
    if on is None or is_insisted or not facts.planned(on):
        return
    if facts.printed.get(on):
        raise ConflictError(
            f"The guides of {short_day(on)} are printed.",
            hint=INSIST_HINT,
        )
    if on < facts.today + timedelta(days=facts.term.announced_days):
        raise ConflictError(
            f"The plan of {short_day(on)} is announced ({facts.term.announced_days} days ahead).",
            hint=INSIST_HINT,
        )


def _refuse_pin(facts: TermFacts, ask: _Ask, *, is_insisted: bool) -> None:
    """A pin that cannot hold.

    Raises:
        ConflictError: With every reason.
    """
    problem = build_problem(facts, Limits(may_leave_open=True)).problem
    wish = PlanWish(ask.wish.piece_id, ask.wish.on)
    if wish.piece_id not in problem.piece_by_id:
        raise _unreadable(facts, ask)
    days = [problem.days[at].on for at in problem.free_days] if wish.on is None else [wish.on]
    _refuse_full(facts, ask)
    reasons = [_obstacles(problem, wish, on, is_insisted=is_insisted) for on in days]
    if not days or all(reasons):
        causes = min(reasons, key=len, default=())
        sentences = _sentences(facts, ask.wish.piece_id, ask.title, causes)
        can_insist = bool(causes) and all(cause.rule in INSISTED for cause in causes)
        raise ConflictError(
            " ".join(sentences) or f"{facts.term.name} has no day left for “{ask.title}”.",
            hint=INSIST_HINT if can_insist else "Choose another day.",
        )
    conflict = pin_conflict(problem, wish)
    if conflict is not None:
        raise ConflictError(" ".join(conflict_sentences(conflict)), hint="Take another pin back first.")


def _lacking(facts: TermFacts, ask: _Ask) -> str:
    """What has to be entered of a piece on paper before it can be planned; empty when nothing has."""
    pieces = (each.piece for each in facts.outlooks if each.piece.id == ask.wish.piece_id)
    return next(map(lacks_note, pieces), "")


def _unreadable(facts: TermFacts, ask: _Ask) -> ConflictError:
    lacking = _lacking(facts, ask)
    if lacking:
        return ConflictError(f"“{ask.title}”: {lacking}", hint="Enter that on its page.")
    return ConflictError(
        f"No section can read “{ask.title}”.", hint="Look at its parts, its level and your sections."
    )


def _obstacles(problem: PlanProblem, wish: PlanWish, on: date, *, is_insisted: bool) -> tuple[Cause, ...]:
    """What keeps a piece off a day, before the pin excuses it from anything."""
    plain = replace(problem, pins=tuple(p for p in problem.pins if p.piece_id != wish.piece_id))
    causes = why_not(plain, wish.piece_id, on)
    return tuple(cause for cause in causes if not (is_insisted and cause.rule in INSISTED))


def why_not_there(
    facts: TermFacts, problem: PlanProblem, piece_id: int, title: str, on: date
) -> tuple[str, ...]:
    """Why a piece cannot stand on a day, a sentence each; none when it can."""
    return _sentences(facts, piece_id, title, why_not(problem, piece_id, on))


def _sentences(facts: TermFacts, piece_id: int, title: str, causes: Iterable[Cause]) -> tuple[str, ...]:
    sections = {section.id: section.name for section in facts.ensemble.sections}
    causes = tuple(causes)
    if not causes:
        return ()
    once = [cause for cause in causes if cause.rule == check.ONCE]
    stands = [s.on for s in (facts.plan.slots if facts.plan else ()) if s.piece_id == piece_id]
    if once and stands and all(cause.rule != check.FRESH for cause in causes):
        return (stands_already_sentence(title, stands[0]),)
    outlook = next((each for each in facts.outlooks if each.piece.id == piece_id), None)
    short = lacks_copies(facts.copies.get(piece_id, {}), outlook) if outlook else ()
    if short:
        parts = [(each.part, each.needed, each.copies) for each in short]
        causes = tuple(cause for cause in causes if cause.rule != check.FOLDERS)
        return (short_copies_sentence(title, parts), *_sentences_of(facts, piece_id, title, sections, causes))
    return _sentences_of(facts, piece_id, title, sections, causes)


def _sentences_of(
    facts: TermFacts, piece_id: int, title: str, sections: Mapping[int, str], causes: Sequence[Cause]
) -> tuple[str, ...]:
    on = next((cause.on for cause in causes if cause.rule == check.FRESH), None)
    known = facts.known[on].get(piece_id) if on else None
    if known is None:
        return refusal_sentences(causes, title, sections, "")
    exposure = known.exposure
    whom = "another ensemble"
    if exposure.ensemble_id == facts.ensemble.id:
        whom = sections.get(exposure.section_id or 0, facts.ensemble.name)
    return refusal_sentences(causes, title, sections, known_sentence(title, exposure, whom))


def _refuse_full(facts: TermFacts, ask: _Ask) -> None:
    """More pinned pieces on a day than it has places.

    Raises:
        ConflictError: If so.
    """
    on = ask.wish.on
    if on is None:
        return
    shape = facts.term.shape_on(on)
    places = facts.term.slots_on(on) * max(1, len(shape.stations))
    taken = [*ask.others("pinned", on), *ask.others("again", on)]
    if len(taken) >= places:
        raise ConflictError(
            f"{short_day(on)} is full: it holds {_count(places)}, and {_count(len(taken))} "
            f"{'is' if len(taken) == 1 else 'are'} pinned to it already.",
            hint="Take one of them back first, or give the day another piece.",
        )


def _count(number: int) -> str:
    return "one piece" if number == 1 else f"{number} pieces"


def _refuse_unread(work: UnitOfWork, ask: _Ask) -> None:
    """A second reading of what will not have been read once.

    Raises:
        ConflictError: If so.
    """
    on, piece_id = ask.wish.on or date.max, ask.wish.piece_id
    plan = work.terms.plan(ask.term.id)
    met = [
        *(e.on for e in work.ensembles.exposures(ask.term.ensemble_id) if e.piece_id == piece_id),
        *(r.on for r in work.results.list_results(ask.term.ensemble_id) if r.piece_id == piece_id),
        *(s.on for s in (plan.slots if plan else ()) if s.piece_id == piece_id),
        *(w.on for w in ask.wishes if (w.kind, w.piece_id) == ("pinned", piece_id)),
    ]
    if not any(day is None or day < on for day in met):
        raise ConflictError(
            f"“{ask.title}” is not read before {short_day(on)}, so it cannot be read again then.",
            hint="Pin it to an earlier day first.",
        )


def _refuse_no_room(facts: TermFacts, ask: _Ask) -> None:
    """A second reading on a day without a place or the minutes for it.

    Raises:
        ConflictError: If so.
    """
    on = ask.wish.on
    if on is None:
        return
    if facts.term.shape_on(on).stations:
        raise ConflictError(f"On {short_day(on)} stations read.", hint="Choose a day when all read together.")
    _refuse_full(facts, ask)
    built = build_problem(facts, Limits(may_leave_open=True), opened=facts.term.reading_dates())
    if ask.wish.piece_id not in built.times or _lacking(facts, ask):
        raise _unreadable(facts, ask)
    minutes = {piece: time.minutes for piece, time in built.times.items()}
    again = [ask.wish.piece_id, *(w.piece_id for w in ask.others("again", on))]
    needed = sum(again_minutes(minutes.get(piece, 0.0)) for piece in again)
    needed += sum(minutes.get(w.piece_id, 0.0) for w in ask.others("pinned", on))
    available = facts.term.minutes_on(on)
    if needed > available + check.ROUNDING:
        raise ConflictError(
            f"{short_day(on)} has {available:g} minutes; reading “{ask.title}” again beside what is set for "
            f"it takes {needed:.1f}.",
            hint="Give the day more minutes, or choose another.",
        )


def _store(work: UnitOfWork, ask: _Ask, wishes: Sequence[Wish], by: Author) -> tuple[Wish, ...]:
    with recorded(work, ChangeKind.TERM, term_subject(ask.term), by):
        work.terms.set_wishes(ask.term.id, wishes)
        _mark(work, ask.term.id, ask.wish.piece_id, wishes)
    return tuple(wishes)


def _mark(work: UnitOfWork, term_id: int, piece_id: int, wishes: Sequence[Wish]) -> None:
    """Show at once which slots of the plan hold a pinned piece; nothing moves."""
    plan = work.terms.plan(term_id)
    if plan is None:
        return
    slots = tuple(
        marked(slot, is_pinned=Wish("pinned", piece_id, slot.on) in wishes)
        if slot.piece_id == piece_id and Wish("again", piece_id, slot.on) not in wishes
        else slot
        for slot in plan.slots
    )
    if slots != plan.slots:
        work.terms.save_plan(replace(plan, slots=slots))


def marked(slot: Slot, *, is_pinned: bool) -> Slot:
    """A slot as pinned or not, with the reason that says so."""
    others = tuple(reason for reason in slot.reasons if reason.kind is not ReasonKind.PINNED)
    own = (Reason(ReasonKind.PINNED),) if is_pinned else ()
    return replace(slot, is_pinned=is_pinned, reasons=(*own, *others))
