"""What each piece would ask of each section of an ensemble: the common ground of matching and planning."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from planner.core.ensemble import Ensemble, Exposure, Section
from planner.core.freshness import find_met_pieces
from planner.core.instruments import get_instrument
from planner.core.piece import Piece, PieceQuery
from planner.core.pitch import Pitch
from planner.core.profile import PartProfile, PieceProfile
from planner.core.term import Result
from planner.levels.curve import clip_level, expected_share
from planner.matching.casting import Casting, CastPart, cast_parts
from planner.services.levels.in_force import outlines_in_force
from planner.services.ports import UnitOfWork

Verdict = Literal["too easy", "just readable", "too hard", "unknown"]

HARD_BELOW = 0.70
EASY_ABOVE = 0.95
"""Expected shares between which a part is just readable.

Source: above 95 % is the "independent" level of Betts-type charts; 70 % is a house choice, about six
tenths of a level above the section.
"""

LEAST_COVERED = 0.5
LEAST_BUSY = 0.5
"""Least share of a piece's parts somebody reads, and of the players who have a part, for the ensemble to
read it together; below, it is another ensemble's music. Source: house choices."""


@dataclass(frozen=True, slots=True)
class PartFit:
    """How a section would read its part of a piece.

    Attributes:
        section: Who reads.
        cast: Which part, and how they come to it.
        level: Level of that part, the director's correction of the piece included; None unknown.
        share: Expected share of measures right on the first reading; None unknown.
        verdict: In one word.
        range_note: What lies outside the section's range, as a sentence; empty when all is in range.
    """

    section: Section
    cast: CastPart
    level: float | None
    share: float | None
    verdict: Verdict
    range_note: str = ""


@dataclass(frozen=True, slots=True)
class PieceOutlook:
    """A piece as this ensemble would meet it."""

    piece: Piece
    profile: PieceProfile
    casting: Casting
    fits: tuple[PartFit, ...]
    met: Exposure | None = None
    players: int = 0

    @property
    def can_be_cast(self) -> bool:
        """Whether the ensemble can read the piece together: enough of it is covered, and few sit idle."""
        covered = len({fit.cast.part for fit in self.fits})
        busy = sum(section.size for section in {fit.section.id: fit.section for fit in self.fits}.values())
        return (
            covered > 0
            and covered >= LEAST_COVERED * (covered + len(self.casting.uncovered))
            and busy >= LEAST_BUSY * self.players
        )

    @property
    def hardest(self) -> PartFit | None:
        """The part that lies highest above its section."""
        known = [fit for fit in self.fits if fit.level is not None]
        return max(known, key=lambda f: (f.level or 0.0) - f.section.level, default=None)


def read_outlooks(
    work: UnitOfWork, ensemble: Ensemble, on: date, *, also: Sequence[int] = ()
) -> tuple[tuple[PieceOutlook, ...], Mapping[int, Exposure]]:
    """Every fresh piece with a level as the ensemble would meet it, and the pieces already met.

    Args:
        work: An open unit of work.
        ensemble: Who reads.
        on: The date whose players count.
        also: Pieces to look at even if they are met (pinned ones).
    """
    met = met_pieces(work, ensemble, on)
    pieces, _ = work.pieces.list_pieces(PieceQuery(limit=0))
    wanted = [p for p in pieces if p.level is not None and (p.id not in met or p.id in also)]
    profiles = outlines_in_force(work, wanted)
    outlooks = tuple(_outlook(p, profiles[p.id], ensemble, met.get(p.id)) for p in wanted if p.id in profiles)
    return outlooks, met


def outlook_of(piece: Piece, profile: PieceProfile, ensemble: Ensemble) -> PieceOutlook:
    """One piece as the ensemble would meet it, whoever knows it.

    Args:
        piece: As it stands in the library.
        profile: Its study, with the levels in force.
        ensemble: Who reads.
    """
    return _outlook(piece, profile, ensemble, None)


def met_pieces(work: UnitOfWork, ensemble: Ensemble, on: date) -> dict[int, Exposure]:
    """Pieces someone in the room can know: by an exposure, or by a result that was logged.

    Players who also sit in another ensemble bring along what they met there.
    """
    others = [e for e in work.ensembles.list_ensembles() if e.id != ensemble.id]
    exposures: list[Exposure] = []
    for group in (ensemble, *others):
        exposures += work.ensembles.exposures(group.id)
        exposures += [_as_exposure(result) for result in work.results.list_results(group.id)]
    return find_met_pieces(ensemble, exposures, on, others)


def _as_exposure(result: Result) -> Exposure:
    return Exposure(result.ensemble_id, result.piece_id, "read", result.on, result.section_id)


def _outlook(piece: Piece, profile: PieceProfile, ensemble: Ensemble, met: Exposure | None) -> PieceOutlook:
    casting = cast_parts(profile.parts, ensemble.sections)
    shift = (piece.level or 0.0) - (profile.level if profile.level is not None else piece.level or 0.0)
    parts = {part.name: part for part in profile.parts}
    sections = {section.id: section for section in ensemble.sections}
    fits = tuple(_fit(sections[cast.section_id], cast, parts[cast.part], shift) for cast in casting.readings)
    players = sum(section.size for section in ensemble.sections)
    return PieceOutlook(piece, profile, casting, fits, met, players)


def _fit(section: Section, cast: CastPart, part: PartProfile, shift: float) -> PartFit:
    level = None if part.level is None else clip_level(part.level + shift)
    share = None if level is None else expected_share(section.level, level)
    return PartFit(section, cast, level, share, verdict_of(share), _range_note(section, cast, part))


def verdict_of(share: float | None) -> Verdict:
    """Too easy, just readable or too hard, by expected share.

    Example:
        >>> verdict_of(0.84), verdict_of(0.5), verdict_of(None)
        ('just readable', 'too hard', 'unknown')
    """
    if share is None:
        return "unknown"
    if share > EASY_ABOVE:
        return "too easy"
    return "too hard" if share < HARD_BELOW else "just readable"


def _range_note(section: Section, cast: CastPart, part: PartProfile) -> str:
    """A sentence when the part leaves what the section's players reach in comfort."""
    try:
        instrument = get_instrument(section.instrument)
    except KeyError:
        return ""
    comfortable = instrument.comfortable(section.level)
    written = part.sounding_range if cast.how == "transposing" else part.written_range
    if comfortable is None or written is None:
        return ""
    shift = instrument.transposition.semitones if cast.how == "transposing" else 0
    low, high = (float(Pitch.parse(name).midi) - shift for name in written)
    sides = [
        name
        for name, is_outside in (
            (f"down to {written[0]}", low < comfortable[0]),
            (f"up to {written[1]}", high > comfortable[1]),
        )
        if is_outside
    ]
    if not sides:
        return ""
    return f"{part.name} goes {' and '.join(sides)}, outside what {section.name} reaches in comfort."
