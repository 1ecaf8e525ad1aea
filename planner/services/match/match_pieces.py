"""Which pieces each section can just read, and which suit the whole ensemble."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from planner.core.ensemble import Ensemble, Section
from planner.core.piece import Piece
from planner.levels.readable import Verdict
from planner.matching.outlook import PartFit, PieceOutlook
from planner.services.match.outlook import read_outlooks
from planner.services.plan.freshness import Knowing, known_by_day
from planner.services.plan.reading_time import reading_time
from planner.services.ports.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class PieceMatch:
    """A piece as a candidate for the ensemble.

    Attributes:
        outlook: The piece as the ensemble would meet it; its cost ranks it, lower is better.
        minutes: For study, hearing, two readings and fixing.
    """

    outlook: PieceOutlook
    minutes: float

    @property
    def piece(self) -> Piece:
        """Which."""
        return self.outlook.piece

    @property
    def fits(self) -> tuple[PartFit, ...]:
        """Each section's part."""
        return self.outlook.fits


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
        unlevelled: Pieces left out because their level is unknown.
        uncastable: Pieces left out because too few of their parts, or of the players, would be busy.
        unentered: Pieces on paper left out because too little is entered of them.
    """

    ensemble: Ensemble
    on: date
    candidates: tuple[PieceMatch, ...]
    sections: tuple[SectionMatch, ...]
    met: int
    unlevelled: int = 0
    uncastable: int = 0
    unentered: int = 0


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
    known = {
        piece: each
        for piece, each in known_by_day(work, ensemble, [on], today=on)[on].items()
        if each.how is not Knowing.PLANNED or each.exposure.ensemble_id != ensemble_id
    }
    outlooks = read_outlooks(work, ensemble, known)
    not_met = [outlook for outlook in outlooks if outlook.met is None]
    fresh = [outlook for outlook in not_met if not outlook.piece.lacks]
    candidates = sorted(
        (_match_piece(o) for o in fresh if o.can_be_cast),
        key=lambda m: (m.outlook.cost, m.piece.title, m.piece.id),
    )
    return MatchView(
        ensemble=ensemble,
        on=on,
        candidates=tuple(candidates[:most]),
        sections=tuple(_match_section(section, candidates) for section in ensemble.sections),
        met=len(known),
        unlevelled=work.pieces.count(is_levelled=False),
        uncastable=sum(1 for outlook in fresh if not outlook.can_be_cast),
        unentered=len(not_met) - len(fresh),
    )


def _match_piece(outlook: PieceOutlook) -> PieceMatch:
    return PieceMatch(outlook, reading_time(outlook.profile, outlook.level).minutes)


def _match_section(section: Section, candidates: Sequence[PieceMatch]) -> SectionMatch:
    fits = [(c, fit) for c in candidates for fit in c.outlook.readings if fit.section.id == section.id]
    just = [(c, fit) for c, fit in fits if fit.verdict is Verdict.JUST_READABLE]
    just.sort(key=lambda pair: (abs((pair[1].level or 0.0) - section.level), pair[0].piece.title))
    return SectionMatch(
        section=section,
        just_readable=tuple(c.piece for c, _ in just),
        too_easy=sum(1 for _, fit in fits if fit.verdict is Verdict.TOO_EASY),
        too_hard=sum(1 for _, fit in fits if fit.verdict is Verdict.TOO_HARD),
        without_part=len(candidates) - len({c.piece.id for c, _ in fits}),
    )
