"""Which pieces each section can just read, and which suit the whole ensemble."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from planner.core.ensemble import Ensemble, Section
from planner.core.piece import Piece, PieceQuery
from planner.services.ports import UnitOfWork
from planner.services.term.outlook import PartFit, PieceOutlook, read_outlooks
from planner.services.term.reading_time import reading_time

UNCOVERED_COST = 0.5
TOO_HARD_COST = 0.5
RANGE_COST = 0.1
"""Ranking costs beside the mean square of the distance in levels. Source: house choices."""


@dataclass(frozen=True, slots=True)
class PieceMatch:
    """A piece as a candidate for the ensemble.

    Attributes:
        piece: Which.
        minutes: For study, hearing, two readings and fixing.
        fits: Each section's part.
        hardest: The part that lies highest above its section.
        uncovered: Parts nobody reads, as sentences.
        idle: Names of sections without a part.
        out_of_range: Sentences on parts that leave a section's range.
        cost: Ranking; lower is better.
        reasons: Why it ranks where it does, in sentences.
    """

    piece: Piece
    minutes: float
    fits: tuple[PartFit, ...]
    hardest: PartFit | None
    uncovered: tuple[str, ...]
    idle: tuple[str, ...]
    out_of_range: tuple[str, ...]
    cost: float
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SectionMatch:
    """What one section can read: its just readable pieces best first, and how many are not."""

    section: Section
    just_readable: tuple[Piece, ...]
    too_easy: int
    too_hard: int
    without_part: int


@dataclass(frozen=True, slots=True)
class MatchView:
    """The match of a library with an ensemble on a day.

    Attributes:
        ensemble: Who reads.
        on: The day.
        candidates: Fresh pieces, best first.
        sections: In score order of the ensemble.
        met: Pieces left out because someone in the room can know them.
        by_exposure: How many of those by kind of exposure.
        unlevelled: Pieces left out because their level is unknown.
        uncastable: Pieces left out because too few of their parts, or of the players, would be busy.
    """

    ensemble: Ensemble
    on: date
    candidates: tuple[PieceMatch, ...]
    sections: tuple[SectionMatch, ...]
    met: int
    by_exposure: tuple[tuple[str, int], ...] = ()
    unlevelled: int = 0
    uncastable: int = 0


def match(work: UnitOfWork, ensemble_id: int, on: date, *, most: int | None = None) -> MatchView:
    """Match the library with an ensemble.

    Args:
        work: An open unit of work; nothing is changed.
        ensemble_id: Who reads.
        on: The day whose players count.
        most: Candidates to return at most; None for all.

    Raises:
        NotFoundError: If there is no such ensemble.
    """
    ensemble = work.ensembles.get(ensemble_id)
    outlooks, met = read_outlooks(work, ensemble, on)
    candidates = sorted(
        (_match_piece(o, ensemble) for o in outlooks if o.can_be_cast),
        key=lambda m: (m.cost, m.piece.title, m.piece.id),
    )
    kinds = Counter(exposure.how for exposure in met.values())
    return MatchView(
        ensemble=ensemble,
        on=on,
        candidates=tuple(candidates[:most]),
        sections=tuple(_match_section(section, candidates) for section in ensemble.sections),
        met=len(met),
        by_exposure=tuple(sorted(kinds.items())),
        unlevelled=_count_unlevelled(work),
        uncastable=sum(1 for outlook in outlooks if not outlook.can_be_cast),
    )


def _count_unlevelled(work: UnitOfWork) -> int:
    pieces, _ = work.pieces.list_pieces(PieceQuery(limit=0))
    return sum(1 for piece in pieces if piece.level is None)


def _match_piece(outlook: PieceOutlook, ensemble: Ensemble) -> PieceMatch:
    return PieceMatch(
        piece=outlook.piece,
        minutes=reading_time(outlook.profile, outlook.piece.level).minutes,
        fits=outlook.fits,
        hardest=outlook.hardest,
        uncovered=tuple(part.why for part in outlook.casting.uncovered),
        idle=tuple(s.name for s in ensemble.sections if s.id in outlook.casting.idle),
        out_of_range=tuple(fit.range_note for fit in outlook.fits if fit.range_note),
        cost=match_cost(outlook),
        reasons=_reasons(outlook),
    )


def match_cost(outlook: PieceOutlook) -> float:
    """How badly a piece suits the ensemble: 0 when every part lies on its section's level."""
    known = [fit for fit in outlook.fits if fit.level is not None]
    players = sum(fit.section.size for fit in known)
    if not players:
        return 99.0
    off = sum(fit.section.size * _off(fit) for fit in known) / players
    parts = len(outlook.casting.uncovered) + len({r.part for r in outlook.casting.readings})
    uncovered = UNCOVERED_COST * len(outlook.casting.uncovered) / max(1, parts)
    hard = TOO_HARD_COST * sum(fit.section.size for fit in known if fit.verdict == "too hard") / players
    out = RANGE_COST * sum(1 for fit in known if fit.range_note) / len(known)
    return round(off + uncovered + hard + out, 4)


def _off(fit: PartFit) -> float:
    gap = (fit.level or 0.0) - fit.section.level
    return gap * gap * (1.0 if gap > 0 else 0.25)


def _reasons(outlook: PieceOutlook) -> tuple[str, ...]:
    reasons = [_verdict_sentence(outlook.fits)]
    hardest = outlook.hardest
    if hardest is not None and hardest.level is not None and hardest.share is not None:
        reasons.append(
            f"Hardest: {hardest.cast.part} at level {hardest.level:.1f} for {hardest.section.name} at "
            f"{hardest.section.level:.1f}, about {round(100 * hardest.share)} % of the bars right."
        )
    if outlook.casting.uncovered:
        reasons.append(f"Nobody reads {_listed([u.part for u in outlook.casting.uncovered])}.")
    out = [fit.cast.part for fit in outlook.fits if fit.range_note]
    if out:
        reasons.append(f"Out of comfortable range: {_listed(out)}.")
    return tuple(reasons)


def _verdict_sentence(fits: Sequence[PartFit]) -> str:
    if not fits:
        return "No section has a part."
    just = sum(1 for fit in fits if fit.verdict == "just readable")
    sentence = f"Just readable for {just} of {len(fits)} sections"
    hard = [fit.section.name for fit in fits if fit.verdict == "too hard"]
    easy = [fit.section.name for fit in fits if fit.verdict == "too easy"]
    if hard:
        sentence += f"; too hard for {_listed(hard)}"
    if easy:
        sentence += f"; too easy for {_listed(easy)}"
    return sentence + "."


def _listed(names: Sequence[str]) -> str:
    """``A, B and C``; more than four are counted."""
    unique = list(dict.fromkeys(names))
    if len(unique) > 4:
        return f"{', '.join(unique[:3])} and {len(unique) - 3} more"
    return " and ".join([", ".join(unique[:-1]), unique[-1]] if len(unique) > 1 else unique)


def _match_section(section: Section, candidates: Sequence[PieceMatch]) -> SectionMatch:
    fits = [(c, fit) for c in candidates for fit in _main_fits(c) if fit.section.id == section.id]
    just = [(c, fit) for c, fit in fits if fit.verdict == "just readable"]
    just.sort(key=lambda pair: (abs((pair[1].level or 0.0) - section.level), pair[0].piece.title))
    return SectionMatch(
        section=section,
        just_readable=tuple(c.piece for c, _ in just),
        too_easy=sum(1 for _, fit in fits if fit.verdict == "too easy"),
        too_hard=sum(1 for _, fit in fits if fit.verdict == "too hard"),
        without_part=len(candidates) - len({c.piece.id for c, _ in fits}),
    )


def _main_fits(candidate: PieceMatch) -> list[PartFit]:
    """One fit a section: its hardest part."""
    hardest: dict[int, PartFit] = {}
    for fit in candidate.fits:
        held = hardest.get(fit.section.id)
        if held is None or (fit.level or 0.0) > (held.level or 0.0):
            hardest[fit.section.id] = fit
    return list(hardest.values())
