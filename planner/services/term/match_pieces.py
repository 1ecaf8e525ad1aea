"""Which pieces each section can just read, and which suit the whole ensemble."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from planner.core.ensemble import Ensemble, Section
from planner.core.piece import Piece
from planner.levels.readable import Verdict
from planner.matching.outlook import PartFit, PieceOutlook
from planner.services.ports import UnitOfWork
from planner.services.term.demands import Ladder
from planner.services.term.freshness import Knowing, Known, known_by_day
from planner.services.term.outlook import read_outlooks
from planner.services.term.reading_time import reading_time


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
class MatchCell:
    """What a piece asks of one section today.

    Attributes:
        section_id: Which.
        part: Name of the part; the hardest where the section reads several.
        level: Of the part; None not known.
        share: Share of bars it should get right on the first reading; None not known.
        lost: Chance that it is lost, 0 to 1.
        verdict: What follows from the share.
        is_beyond: The part leaves what the section reaches in comfort.
    """

    section_id: int
    part: str
    level: float | None
    share: float | None
    lost: float
    verdict: Verdict
    is_beyond: bool


@dataclass(frozen=True, slots=True)
class MatchRow:
    """A piece of the library against every section.

    Attributes:
        piece: Which.
        level: For the ensemble; None when no part that is read has a level.
        minutes: For study, hearing, two readings and fixing.
        key: Its home key.
        trains: Focus and tier, 2 strongly, 1 somewhat.
        cells: By section in score order; None where the section has no part.
        cost: How badly it suits the ensemble; lower is better, infinite when nothing is known.
        known: That somebody in the room can know it, and how; None when it is fresh.
        is_for_all: The ensemble can read it together.
        planned_on: The next day on which a plan of the ensemble has it; None when none has.
    """

    piece: Piece
    level: float | None
    minutes: float
    key: str
    trains: tuple[tuple[str, int], ...]
    cells: tuple[MatchCell | None, ...]
    cost: float
    known: Known | None
    is_for_all: bool
    planned_on: date | None = None


@dataclass(frozen=True, slots=True)
class MatchFilter:
    """Which rows of a match to show; None and empty mean all.

    Attributes:
        focus: Pieces that train it.
        minutes: Pieces that take no longer.
        key: Pieces in that home key.
        is_fresh: Only those that nobody in the room can know, or only the others.
        verdict: Pieces that at least one section would read like this.
        section_id: With ``verdict``: that section.
    """

    focus: str = ""
    minutes: float | None = None
    key: str = ""
    is_fresh: bool | None = None
    verdict: Verdict | None = None
    section_id: int | None = None

    def lets_through(self, row: MatchRow) -> bool:
        """Whether a row is among those asked for."""
        cells = [c for c in row.cells if c and self.section_id in (None, c.section_id)]
        return (
            (not self.focus or self.focus in dict(row.trains))
            and (self.minutes is None or row.minutes <= self.minutes)
            and (not self.key or row.key == self.key)
            and (self.is_fresh is None or self.is_fresh == (row.known is None))
            and (self.verdict is None or any(cell.verdict is self.verdict for cell in cells))
        )


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
        rows: Every piece with a level, known ones and those for other forces too, best first.
    """

    ensemble: Ensemble
    on: date
    candidates: tuple[PieceMatch, ...]
    sections: tuple[SectionMatch, ...]
    met: int
    unlevelled: int = 0
    uncastable: int = 0
    rows: tuple[MatchRow, ...] = ()

    def filtered(self, which: MatchFilter) -> tuple[MatchRow, ...]:
        """The rows that a filter lets through, in their order."""
        return tuple(row for row in self.rows if which.lets_through(row))


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
    planned = _planned_days(work, ensemble_id, on)
    known = {
        piece: each
        for piece, each in known_by_day(work, ensemble, [on], today=on)[on].items()
        if each.how is not Knowing.PLANNED or each.exposure.ensemble_id != ensemble_id
    }
    outlooks = read_outlooks(work, ensemble, known)
    fresh = [outlook for outlook in outlooks if outlook.met is None]
    candidates = sorted(
        (_match_piece(o) for o in fresh if o.can_be_cast),
        key=lambda m: (m.outlook.cost, m.piece.title, m.piece.id),
    )
    ladder = Ladder([outlook for outlook in outlooks if outlook.can_be_cast])
    rows = (_row(o, ladder, known.get(o.piece.id), planned.get(o.piece.id)) for o in outlooks)
    return MatchView(
        ensemble=ensemble,
        on=on,
        candidates=tuple(candidates[:most]),
        sections=tuple(_match_section(section, candidates) for section in ensemble.sections),
        met=len(known),
        unlevelled=work.pieces.count(is_levelled=False),
        uncastable=sum(1 for outlook in fresh if not outlook.can_be_cast),
        rows=tuple(sorted(rows, key=lambda row: (row.cost, row.piece.title, row.piece.id))),
    )


def _planned_days(work: UnitOfWork, ensemble_id: int, on: date) -> dict[int, date]:
    """By piece, the next day from ``on`` on which a plan of the ensemble has it."""
    plans = work.terms.plans([term.id for term in work.terms.list_terms(ensemble_id)])
    found: dict[int, date] = {}
    for slot in (slot for plan in plans.values() for slot in plan.slots if slot.on >= on):
        found[slot.piece_id] = min(slot.on, found.get(slot.piece_id, slot.on))
    return found


def _row(outlook: PieceOutlook, ladder: Ladder, known: Known | None, planned_on: date | None) -> MatchRow:
    hardest = {fit.section.id: fit for fit in reversed(outlook.fits)}
    hardest |= {fit.section.id: fit for fit in outlook.readings}
    return MatchRow(
        piece=outlook.piece,
        level=outlook.level,
        minutes=reading_time(outlook.profile, outlook.level).minutes,
        key=outlook.profile.home_key,
        trains=ladder.trains(outlook.piece.id) if outlook.can_be_cast else (),
        cells=tuple(_cell(hardest.get(section.id)) for section in outlook.sections),
        cost=outlook.cost,
        known=known,
        is_for_all=outlook.can_be_cast,
        planned_on=planned_on,
    )


def _cell(fit: PartFit | None) -> MatchCell | None:
    if fit is None:
        return None
    return MatchCell(
        fit.section.id, fit.cast.part, fit.level, fit.share, fit.lost, fit.verdict, fit.beyond is not None
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
