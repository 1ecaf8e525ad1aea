"""Days of a term changed by hand: cancelled, shaped, pieces moved and swapped.

What stands on the days that are touched is held against every rule before it is stored, announced days too:
here the director decides. Each change is one entry of the journal and is taken back as one.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from planner.core.change import Author, ChangeKind
from planner.core.ensemble import Ensemble
from planner.core.term import DayShape, Plan, Slot, Term, Wish
from planner.errors import ConflictError, InputError, NotFoundError
from planner.scheduling import check
from planner.scheduling.problem import Limits
from planner.services.changes.journal import recorded
from planner.services.changes.term_record import term_subject
from planner.services.plan.slot_reasons import reasons_for
from planner.services.plan.term_facts import read_facts
from planner.services.plan.term_problem import TermFacts, TermProblem, build_problem
from planner.services.ports.work import UnitOfWork
from planner.services.term.first_in_line import first_places
from planner.services.term.term_checks import checked_term
from planner.services.term.terms import keep_term
from planner.services.term.wishes import refuse_past, why_not_there
from planner.wording.words import short_day


class Instead(StrEnum):
    """What becomes of the pieces of a day that is cancelled."""

    MOVE_ON = "move on"
    """They and all that follow move on by one reading day."""
    DROP = "drop"
    """They go back to the library."""
    WAIT = "wait"
    """They come first when the term is planned again: each is pinned to the next day that can take it."""


@dataclass(frozen=True, slots=True)
class Place:
    """A slot of a plan by where it is.

    Attributes:
        on: The reading day.
        position: Place within the day, from 0; on a day with stations the round.
        station: Which station, from 0; None for the whole ensemble.
    """

    on: date
    position: int = 0
    station: int | None = None


@dataclass(frozen=True, slots=True)
class DayChanged:
    """What a change of a day did.

    Attributes:
        term: As it is stored now.
        moved: Pieces that stand on another day now, with that day.
        fallen: Pieces that went back to the library.
        waiting: Pieces that wait for the next planning, with the day they come on then; None where no day
            can take one, so that it is pinned to the term as a whole.
    """

    term: Term
    moved: tuple[tuple[int, date], ...] = ()
    fallen: tuple[int, ...] = ()
    waiting: tuple[tuple[int, date | None], ...] = ()


def cancel_day(
    work: UnitOfWork, term_id: int, on: date, instead: Instead, today: date, *, by: Author
) -> DayChanged:
    """Make a reading day a day off, and do with its pieces as the director chooses.

    When everything moves on, days with pinned pieces, second readings or another shape stay as they are, and
    an open day takes up what comes; else the pieces of the last day go back to the library.

    Args:
        work: An open unit of work.
        term_id: The term.
        on: The day.
        instead: What becomes of its pieces.
        today: Days before it are past.
        by: Who cancels it.

    Raises:
        NotFoundError: If it is no reading day.
        ConflictError: If it is over, or a piece cannot stand on the day it would come to.
        InputError: If no reading day would be left.
    """
    hand = _Hand(work, term_id, today)
    refuse_past(work, hand.term, on, today)
    moves = hand.moves_from(on) if instead is Instead.MOVE_ON else {}
    gone = {on} if instead is not Instead.MOVE_ON else hand.lost_day(on, moves)
    here = [slot.piece_id for slot in hand.slots if slot.on in gone]
    term = checked_term(
        replace(
            hand.term,
            days_off=tuple(sorted({*hand.term.days_off, on})),
            shapes=tuple(shape for shape in hand.term.shapes if shape.on != on),
        ),
        hand.ensemble,
    )
    with recorded(work, ChangeKind.TERM, term_subject(hand.term), by):
        wishes = hand.wishes_without(on, instead, moves.get(on))
        work.terms.set_wishes(term_id, wishes)
        work.terms.update(term)
        left = (slot for slot in hand.slots if slot.on not in gone)
        hand.keep([replace(slot, on=moves.get(slot.on, slot.on)) for slot in left], set(moves.values()))
        waiting = hand.stand_in_line(on, wishes) if instead is Instead.WAIT else {}
    moved = tuple((slot.piece_id, moves[slot.on]) for slot in hand.slots if slot.on in moves)
    fallen = tuple(piece for piece in here if piece not in waiting)
    return DayChanged(term, moved, fallen, tuple(waiting.items()))


def read_after_all(work: UnitOfWork, term_id: int, on: date, today: date, *, by: Author) -> Term:
    """Make a day off a reading day again; it is open until the term is planned again. The term as stored.

    Raises:
        NotFoundError: If it is no day off of the term.
        ConflictError: If it is past.
    """
    term = work.terms.get(term_id)
    if on in term.reading_dates():
        return term
    if not term.is_day_off(on):
        raise NotFoundError("day off", f"{on} in {term.name}", hint="Look at the term for its days.")
    if on < today:
        raise ConflictError(f"{short_day(on)} is past and stays as it was.", hint="Choose a day to come.")
    left = replace(term, days_off=tuple(day for day in term.days_off if day != on))
    return keep_term(work, left, by=by, today=today)


def set_day(work: UnitOfWork, term_id: int, shape: DayShape, today: date, *, by: Author) -> DayChanged:
    """Give a day its own minutes, pieces, stations or absent sections; one that says nothing is like others.

    Pieces that stand there stay as far as they can, the first ones first; others go back to the library.

    Raises:
        NotFoundError: If it is no reading day.
        InputError: If its numbers, stations or sections cannot hold.
        ConflictError: If it is over, or a pinned piece could no longer stand there.
    """
    hand = _Hand(work, term_id, today)
    refuse_past(work, hand.term, shape.on, today)
    shapes = (*(one for one in hand.term.shapes if one.on != shape.on), shape)
    term = checked_term(replace(hand.term, shapes=shapes), hand.ensemble)
    with recorded(work, ChangeKind.TERM, term_subject(hand.term), by):
        work.terms.update(term)
        fallen = hand.keep_what_fits(shape.on) if term != hand.term else ()
    return DayChanged(term, fallen=fallen)


def swap_slots(
    work: UnitOfWork, term_id: int, one: Place, other: Place, today: date, *, by: Author
) -> DayChanged:
    """Let two pieces of the plan change places; pins go with them.

    Raises:
        NotFoundError: If nothing stands at one of the places.
        InputError: If both are on one day on which everyone reads together.
        ConflictError: If a day is over, or a piece cannot stand where it would come to.
    """
    hand = _Hand(work, term_id, today)
    for place in (one, other):
        refuse_past(work, hand.term, place.on, today)
    if one.on == other.on and one.station is None:
        raise InputError(
            "Two pieces of one day are read in the order of their levels, the easier first.",
            hint="Swap with a piece of another day.",
        )
    first, second = hand.slot_at(one), hand.slot_at(other)
    return hand.put({first: other, second: one}, by)


def move_slot(
    work: UnitOfWork, term_id: int, place: Place, to: date, today: date, *, by: Author
) -> DayChanged:
    """Move a piece of the plan to a day with a place left; a pin goes with it.

    Raises:
        NotFoundError: If nothing stands there, or the other is no reading day.
        ConflictError: If a day is over, the day is full, or the piece cannot stand there.
        InputError: If it is the same day.
    """
    hand = _Hand(work, term_id, today)
    for on in (place.on, to):
        refuse_past(work, hand.term, on, today)
    if to == place.on:
        raise InputError("The piece stands on that day already.", hint="Choose another day.")
    return hand.put({hand.slot_at(place): hand.free_place(to)}, by)


class _Hand:
    """A term as it is when somebody changes its days, and what is done to it."""

    def __init__(self, work: UnitOfWork, term_id: int, today: date) -> None:
        self.work, self.today = work, today
        self.term = work.terms.get(term_id)
        self.ensemble: Ensemble = work.ensembles.get(self.term.ensemble_id)
        plan = work.terms.plan(term_id)
        self.slots = plan.slots if plan else ()
        self.wishes = tuple(work.terms.wishes(term_id))
        self.logged = {result.on for result in work.results.list_results(self.term.ensemble_id)}

    def is_wished(self, slot: Slot) -> bool:
        """Whether the director set a piece to its very day."""
        return any(
            w.on == slot.on and w.piece_id == slot.piece_id and w.kind != "banned" for w in self.wishes
        )

    def moves_from(self, on: date) -> dict[date, date]:
        """Where each day's pieces go when a day falls away and the rest moves on."""
        planned = {slot.on for slot in self.slots}
        shape = replace(self.term.shape_on(on), on=on)
        later = [
            day
            for day in self.term.reading_dates()
            if day > on and day not in self.logged and replace(self.term.shape_on(day), on=on) == shape
            and not any(self.is_wished(slot) for slot in self.slots if slot.on == day)
        ]  # fmt: skip
        moves: dict[date, date] = {}
        for day in later:
            if on not in planned:
                break
            moves[on], on = day, day
        return moves

    def lost_day(self, on: date, moves: dict[date, date]) -> set[date]:
        """The day whose pieces find no other when the rest moves on: the last, if it is not open."""
        last = on
        while last in moves:
            last = moves[last]
        return {last} & {slot.on for slot in self.slots}

    def wishes_without(self, on: date, instead: Instead, to: date | None) -> tuple[Wish, ...]:
        """The wishes when a day falls away: its pins move, are dropped, or wait without a day."""
        here = [wish for wish in self.wishes if wish.on == on]
        kept = [wish for wish in self.wishes if wish.on != on]
        if instead is Instead.MOVE_ON and to is not None:
            kept += [replace(wish, on=to) for wish in here if wish.kind != "banned"]
        if instead is Instead.WAIT:
            again = {wish.piece_id for wish in here if wish.kind == "again"}
            pieces = [w.piece_id for w in here if w.kind == "pinned"]
            pieces += [slot.piece_id for slot in self.slots if slot.on == on and slot.piece_id not in again]
            kept += [Wish("pinned", piece) for piece in dict.fromkeys(pieces)]
        return tuple(dict.fromkeys(kept))

    def stand_in_line(self, on: date, wishes: Sequence[Wish]) -> dict[int, date | None]:
        """Pin the pieces that wait since a day fell away to the first days that can take them; their days."""
        pinned = {wish.piece_id for wish in self.wishes if (wish.kind, wish.on) == ("pinned", on)}
        here = pinned | {slot.piece_id for slot in self.slots if slot.on == on}
        line = [wish.piece_id for wish in wishes if _is_dateless(wish) and wish.piece_id in here]
        places = first_places(self.work, self.term.id, line, on, self.today, insisted=pinned)
        dated = [replace(w, on=places.get(w.piece_id)) if _is_dateless(w) else w for w in wishes]
        self.work.terms.set_wishes(self.term.id, dated)
        return {piece: places.get(piece) for piece in line}

    def slot_at(self, place: Place) -> Slot:
        """What the plan has at a place.

        Raises:
            NotFoundError: If nothing, or a second reading, which is moved by its wish.
        """
        for slot in self.slots:
            if (slot.on, slot.position, slot.station) == (place.on, place.position, place.station):
                if Wish("again", slot.piece_id, slot.on) in self.wishes:
                    break
                return slot
        raise NotFoundError(
            "piece to move", f"at that place on {short_day(place.on)}", hint="Look at the day anew."
        )

    def free_place(self, on: date) -> Place:
        """The first place of a day that holds nothing.

        Raises:
            ConflictError: If there is none.
        """
        stations: Sequence[int | None] = range(len(self.term.shape_on(on).stations)) or (None,)
        taken = {(slot.position, slot.station) for slot in self.slots if slot.on == on}
        for position in range(self.term.slots_on(on)):
            for station in stations:
                if (position, station) not in taken:
                    return Place(on, position, station)
        raise ConflictError(f"{short_day(on)} is full.", hint="Swap it with a piece of that day.")

    def put(self, places: dict[Slot, Place], by: Author) -> DayChanged:
        """Put slots to other places, their pins with them, and store that as one change."""
        after = [_put(slot, places[slot]) if slot in places else slot for slot in self.slots]
        wishes = self.wishes
        for slot, place in places.items():
            pin = Wish("pinned", slot.piece_id, slot.on)
            wishes = tuple(replace(pin, on=place.on) if wish == pin else wish for wish in wishes)
        touched = {on for slot, place in places.items() for on in (slot.on, place.on)}
        with recorded(self.work, ChangeKind.TERM, term_subject(self.term), by):
            self.work.terms.set_wishes(self.term.id, wishes)
            self.keep(after, touched)
        return DayChanged(self.term, tuple((slot.piece_id, place.on) for slot, place in places.items()))

    def keep_what_fits(self, on: date) -> tuple[int, ...]:
        """Of a day's pieces as many as it can hold as it is now; those that cannot stay.

        Raises:
            ConflictError: If a piece that the director set to the day could not stay.
        """
        here = sorted(
            (s for s in self.slots if s.on == on), key=lambda s: (not self.is_wished(s), s.position)
        )
        others = [slot for slot in self.slots if slot.on != on]
        fewest = sum(self.is_wished(slot) for slot in here)
        for count in range(len(here), -1, -1):
            try:
                self.keep([*others, *here[:count]], {on})
            except ConflictError:
                if count <= fewest:
                    raise
                continue
            return tuple(slot.piece_id for slot in here[count:])
        return ()

    def keep(self, slots: Sequence[Slot], touched: Collection[date]) -> None:
        """Store a plan when what stands on the touched days keeps every rule.

        Raises:
            ConflictError: If it does not, with the reasons.
        """
        if not touched:
            if tuple(slots) != self.slots:
                self._save(slots)
            return
        here = {slot.piece_id for slot in slots if slot.on in touched}
        facts = read_facts(self.work, self.term.id, self.today, only=here)
        facts = replace(facts, plan=Plan(self.term.id, tuple(slots)))
        built = build_problem(facts, Limits(may_leave_open=True), opened=touched)
        standing = {(slot.piece_id, slot.on) for slot in slots}
        pins = tuple(pin for pin in built.problem.pins if (pin.piece_id, pin.on) in standing)
        built = replace(built, problem=replace(built.problem, pins=pins))
        own = _in_order(built, [slot for slot in built.without_again(slots) if slot.on in touched])
        _refuse_obstacles(facts, built, own)
        filled = built.filled_up(own)
        broken = check.broken_rules(built.problem, filled)
        if broken:
            days = " and ".join(short_day(on) for on in sorted(touched)[:2])
            raise ConflictError(
                f"What would stand on {days} breaks a rule: {'; '.join(broken)}.", hint="Choose another day."
            )
        rest = [slot for slot in slots if slot.on not in touched]
        again = [slot for slot in slots if slot.on in touched and slot not in built.without_again(slots)]
        whole = sorted([*rest, *own, *again], key=lambda s: (s.on, s.position, s.station or 0))
        self._save(reasons_for(built, whole))

    def _save(self, slots: Sequence[Slot]) -> None:
        """A plan changed by hand: what it costs is not known any more."""
        self.work.terms.save_plan(Plan(self.term.id, tuple(slots)))


def _is_dateless(wish: Wish) -> bool:
    return (wish.kind, wish.on) == ("pinned", None)


def _put(slot: Slot, place: Place) -> Slot:
    return replace(slot, on=place.on, position=place.position, station=place.station)


def _in_order(built: TermProblem, slots: Sequence[Slot]) -> list[Slot]:
    """Slots with the easier pieces first where everyone reads together, each featuring whom it can."""
    problem = built.problem
    levels = {piece.piece_id: piece.level for piece in problem.pieces}
    found, featured = [], set()
    for on in sorted({slot.on for slot in slots}):
        here = sorted(
            (slot for slot in slots if slot.on == on),
            key=lambda s: (
                s.station is not None,
                s.position if s.station is not None else levels.get(s.piece_id, 0.0),
            ),
        )
        for at, slot in enumerate(here):
            placed = slot if slot.station is not None else replace(slot, position=at)
            section = placed.featured_section_id
            sitting, piece = problem.sitting_of(placed), problem.piece_by_id.get(placed.piece_id)
            can_lead = (
                sitting is not None
                and piece is not None
                and section in sitting.sections
                and section in dict(piece.features)
                and section in {each for each, _, _ in problem.featured}
                and (on, section) not in featured
            )
            featured.add((on, section))
            found.append(placed if can_lead else replace(placed, featured_section_id=None))
    return found


def _refuse_obstacles(facts: TermFacts, built: TermProblem, slots: Iterable[Slot]) -> None:
    """Pieces that cannot stand where they would, each with its reasons.

    Raises:
        ConflictError: If there are some.
    """
    titles = {outlook.piece.id: outlook.piece.title for outlook in facts.outlooks}
    sentences: list[str] = []
    for slot in slots:
        if slot.piece_id not in built.problem.piece_by_id:
            raise ConflictError(
                f"“{titles.get(slot.piece_id, slot.piece_id)}” cannot be read by these sections any more.",
                hint="Plan the term again.",
            )
        sentences += why_not_there(facts, built.problem, slot.piece_id, titles[slot.piece_id], slot.on)
    if sentences:
        raise ConflictError(" ".join(dict.fromkeys(sentences)), hint="Choose another day.")
