"""Who can know which piece on which day of a term: met, planned and not logged, or planned elsewhere."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from planner.core.ensemble import Ensemble, Exposure
from planner.core.freshness import find_met_pieces, is_present
from planner.core.term import Result, Slot, Term
from planner.scheduling.problem import OPEN_PIECE
from planner.services.ports import UnitOfWork


class Knowing(StrEnum):
    """How somebody comes to know a piece."""

    MET = "met"
    """It was performed, rehearsed, heard or read, as entered or logged."""
    UNLOGGED = "unlogged"
    """It was planned for a day that is past, and nobody logged whether it was read."""
    PLANNED = "planned"
    """Another plan will have been read by these players."""


@dataclass(frozen=True, slots=True)
class Known:
    """That somebody in the room can know a piece.

    Attributes:
        exposure: When and by whom it was met, or will have been.
        how: How they come to know it.
        through: The piece that was met, where it is another file of the same piece.
    """

    exposure: Exposure
    how: Knowing = Knowing.MET
    through: int | None = None


KnownOn = Mapping[date, Mapping[int, Known]]
"""By day, the pieces somebody in the room can know by then."""


def known_by_day(
    work: UnitOfWork, ensemble: Ensemble, days: Sequence[date], *, term: Term | None = None, today: date
) -> KnownOn:
    """Pieces somebody in the room can know, day by day: players come and go.

    Players who also sit in another ensemble bring along what they met there, and what they will have read
    there by its plans. What the director linked as the same piece is known together.

    Args:
        work: An open unit of work; nothing is changed.
        ensemble: Who reads.
        days: On which days.
        term: The term that is planned; what it plans itself from today on is left aside.
        today: Planned days before it count as read.
    """
    results = work.results.list_results()
    sources = [
        *((exposure, Knowing.MET) for exposure in work.ensembles.exposures()),
        *((_as_exposure(result), Knowing.MET) for result in results),
        *_planned(work, results, term, today),
    ]
    how_by_exposure = dict(reversed(sources))
    others = [other for other in work.ensembles.list_ensembles() if other.id != ensemble.id]
    links = linked_pieces(work)
    by_room: dict[frozenset[int], Mapping[int, Known]] = {}
    found: dict[date, Mapping[int, Known]] = {}
    for on in days:
        room = frozenset(p.id for s in ensemble.sections for p in s.players if is_present(p, on))
        if room not in by_room:
            met = find_met_pieces(ensemble, [exposure for exposure, _ in sources], on, others)
            known = {piece: Known(exposure, how_by_exposure[exposure]) for piece, exposure in met.items()}
            by_room[room] = _with_links(known, links)
        found[on] = by_room[room]
    return found


def unlogged_slots(slots: Sequence[Slot], results: Sequence[Result], today: date) -> tuple[Slot, ...]:
    """Slots of past days of a plan whose piece has no result that day: nobody knows whether it was read."""
    logged = {(result.on, result.piece_id) for result in results}
    return tuple(
        slot
        for slot in slots
        if slot.on < today and slot.piece_id != OPEN_PIECE and (slot.on, slot.piece_id) not in logged
    )


def linked_pieces(work: UnitOfWork) -> Mapping[int, frozenset[int]]:
    """By piece, the other files of the same piece, by the director's own links, however they are chained."""
    groups: dict[int, set[int]] = {}
    for one, other in work.pieces.links().items():
        together = groups.get(one, {one}) | groups.get(other, {other})
        for piece in together:
            groups[piece] = together
    return {piece: frozenset(together - {piece}) for piece, together in groups.items()}


def _planned(
    work: UnitOfWork, results: Sequence[Result], term: Term | None, today: date
) -> list[tuple[Exposure, Knowing]]:
    """What plans say was read or will be, where no result says so."""
    terms = {each.id: each for each in work.terms.list_terms()}
    by_ensemble: dict[int, list[Result]] = {}
    for result in results:
        by_ensemble.setdefault(result.ensemble_id, []).append(result)
    found = []
    for term_id, slots in work.terms.planned(list(terms)).items():
        ensemble_id = terms[term_id].ensemble_id
        unlogged = unlogged_slots(slots, by_ensemble.get(ensemble_id, ()), today)
        found += [(Exposure(ensemble_id, s.piece_id, "read", s.on), Knowing.UNLOGGED) for s in unlogged]
        if term is None or term_id != term.id:
            ahead = (slot for slot in slots if slot.on >= today and slot.piece_id != OPEN_PIECE)
            found += [(Exposure(ensemble_id, s.piece_id, "read", s.on), Knowing.PLANNED) for s in ahead]
    return found


def _with_links(known: Mapping[int, Known], links: Mapping[int, frozenset[int]]) -> Mapping[int, Known]:
    together = dict(known)
    for piece in known.keys() & links.keys():
        for other in sorted(links[piece] - known.keys()):
            together[other] = replace(known[piece], through=piece)
    return together


def _as_exposure(result: Result) -> Exposure:
    return Exposure(result.ensemble_id, result.piece_id, "read", result.on, result.section_id)
