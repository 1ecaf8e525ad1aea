"""Who can know which piece on which day of a term: met, planned and not logged, or planned elsewhere."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from planner.core.ensemble import Ensemble, Exposure, Section
from planner.core.freshness import find_met_pieces, has_unnamed, is_present, was_there, who_sits
from planner.core.term import Result, Slot, Term
from planner.scheduling.problem import OPEN_PIECE
from planner.services.ports.work import UnitOfWork


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
    sources = _sources(work, term, today)
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


def known_to_section(
    work: UnitOfWork, ensemble: Ensemble, section_id: int, today: date
) -> Mapping[int, Known]:
    """Pieces that somebody in one section can have met; plans are left aside.

    What the director linked as the same piece is known together.
    """
    others = [other for other in work.ensembles.list_ensembles() if other.id != ensemble.id]
    exposures = [*work.ensembles.exposures(), *map(_as_exposure, work.results.list_results())]
    met = find_met_pieces(ensemble, exposures, today, others, section_id=section_id)
    return _with_links({piece: Known(exposure) for piece, exposure in met.items()}, linked_pieces(work))


@dataclass(frozen=True, slots=True)
class PieceStanding:
    """Who can know one piece, and when it will be fresh.

    Attributes:
        known: All that somebody in the room can know it from, in the order it was entered; sections are
            left out where the whole ensemble met it alike on the same day.
        present: How many of the players here now were there, for each of ``known``; None where players
            not known by name may have been.
        unnamed: Names of the sections with players not known by name.
        fresh_from: First day on which nobody who can know it is left; None when no such day is entered.
    """

    known: tuple[Known, ...] = ()
    present: tuple[int | None, ...] = ()
    unnamed: tuple[str, ...] = ()
    fresh_from: date | None = None


def standing_of(
    work: UnitOfWork, ensemble: Ensemble, piece_id: int, *, term: Term | None = None, today: date
) -> PieceStanding:
    """Why one piece is not fresh for an ensemble today, and from which day on it will be.

    It becomes fresh when everybody who can know it has left; days on which players leave are looked at.

    Args:
        work: An open unit of work; nothing is changed.
        ensemble: Who reads.
        piece_id: Which piece.
        term: The term whose own plan is left aside.
        today: The day that counts.
    """
    links = linked_pieces(work)
    alike = {piece_id, *links.get(piece_id, ())}
    sources = [
        (replace(exposure, piece_id=piece_id), exposure, how)
        for exposure, how in _sources(work, term, today)
        if exposure.piece_id in alike
    ]
    others = [other for other in work.ensembles.list_ensembles() if other.id != ensemble.id]
    known: list[Known] = []
    present: list[int | None] = []
    by_all = {(one.ensemble_id, one.on, one.how) for _, one, _ in sources if _is_of_all(one)}
    for alone, exposure, how in sources:
        if not _is_of_all(exposure) and (exposure.ensemble_id, exposure.on, exposure.how) in by_all:
            continue  # what the whole ensemble read, each of its sections read
        if find_met_pieces(ensemble, [alone], today, others):
            through = exposure.piece_id if exposure.piece_id != piece_id else None
            known.append(Known(exposure, how, through))
            present.append(_count_there(ensemble, others, exposure, today))
    if not known:
        return PieceStanding()
    exposures = [alone for alone, _, _ in sources]
    days = sorted({p.left for s in ensemble.sections for p in s.players if p.left and p.left > today})
    fresh = (on for on in days if not find_met_pieces(ensemble, exposures, on, others))
    return PieceStanding(tuple(known), tuple(present), _unnamed(ensemble, today), next(fresh, None))


def _is_of_all(exposure: Exposure) -> bool:
    return exposure.section_id is None and exposure.person is None


def _count_there(
    ensemble: Ensemble, others: Sequence[Ensemble], exposure: Exposure, today: date
) -> int | None:
    """How many people present today can have been there; None where nobody knows."""
    here = {who_sits(p) for s in ensemble.sections for p in s.players if is_present(p, today)}
    if exposure.person is not None:
        return len(here & {exposure.person})
    concerned = [s for s in ensemble.sections if exposure.section_id in (None, s.id)]
    if exposure.ensemble_id == ensemble.id and any(_has_unnamed(s, today) for s in concerned):
        return None
    seats = (
        player
        for each in (ensemble, *others)
        if each.id == exposure.ensemble_id
        for section in each.sections
        if exposure.section_id in (None, section.id)
        for player in section.players
    )
    return len(here & {who_sits(player) for player in seats if was_there(player, exposure.on)})


def _has_unnamed(section: Section, today: date) -> bool:
    return has_unnamed(section, len({who_sits(p) for p in section.players if is_present(p, today)}))


def _unnamed(ensemble: Ensemble, today: date) -> tuple[str, ...]:
    return tuple(section.name for section in ensemble.sections if _has_unnamed(section, today))


def _sources(work: UnitOfWork, term: Term | None, today: date) -> list[tuple[Exposure, Knowing]]:
    """Everything a piece can be known from: what was entered, logged and planned."""
    results = work.results.list_results()
    return [
        *((exposure, Knowing.MET) for exposure in work.ensembles.exposures()),
        *((_as_exposure(result), Knowing.MET) for result in results),
        *_planned(work, results, term, today),
    ]


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
