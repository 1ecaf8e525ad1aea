"""What a piece would ask of each section of an ensemble, and how well it suits them together."""

from dataclasses import dataclass
from functools import lru_cache
from math import hypot, inf

from planner.core.ensemble import Ensemble, Exposure, Section
from planner.core.instruments import get_instrument
from planner.core.piece import Piece
from planner.core.pitch import Pitch
from planner.core.profile import PartProfile, PieceProfile
from planner.levels.belief import DEFAULT_ERROR
from planner.levels.curve import TARGET_SHARE
from planner.levels.readable import LEAST_BUSY, Ask, Verdict, ask_of, reading_cost, verdict_of
from planner.matching.casting import Casting, CastPart, How, Uncovered, cast_parts
from planner.matching.for_whom import READ_BY_NOBODY, LevelForEnsemble, level_of_readings

LEAST_COVERED = 0.5
"""Least share of a piece's parts somebody reads for the ensemble to read it together; below, it is another
ensemble's music. Source: house choice."""

UNCOVERED_COST = 150
IDLE_COST = 150
RANGE_COST = 40
"""What a piece costs on any day, on the scale of ``levels.readable``: for the share of its parts that nobody
reads, for the share of the players who have no part, and for the share of those who read whose part leaves
their comfortable range. Source: house choices."""


@dataclass(frozen=True, slots=True)
class BeyondComfort:
    """Where a part leaves what its section's players reach in comfort.

    Attributes:
        down_to: Lowest pitch as the section reads it; empty when the part does not go too low.
        up_to: Highest pitch as the section reads it; empty when the part does not go too high.
    """

    down_to: str = ""
    up_to: str = ""


@dataclass(frozen=True, slots=True)
class PartFit:
    """How a section would read its part of a piece.

    Attributes:
        section: Who reads.
        cast: Which part, and how they come to it.
        level: Level of that part as it is in force; None unknown.
        share: Expected share of measures right on the first reading; None unknown.
        verdict: What follows from the share.
        beyond: What lies outside the section's comfortable range; None when all is within it.
        error: Standard error of the part's level.
        lost: Chance that the section is lost in it, 0 to 1.
    """

    section: Section
    cast: CastPart
    level: float | None
    share: float | None
    verdict: Verdict
    beyond: BeyondComfort | None = None
    error: float = 0.0
    lost: float = 0.0


@dataclass(frozen=True, slots=True)
class PieceOutlook:
    """A piece as this ensemble would meet it.

    Attributes:
        piece: Which.
        profile: Its study, with the levels in force.
        casting: Who reads what.
        fits: Each reading of the casting, in its order.
        sections: Of the ensemble.
        met: That someone in the room can know it; None when it is fresh.
        by_parts: How hard the parts that are read make it.
        own_level: The director's level of the piece; None where they set none.
    """

    piece: Piece
    profile: PieceProfile
    casting: Casting
    fits: tuple[PartFit, ...]
    sections: tuple[Section, ...] = ()
    met: Exposure | None = None
    by_parts: LevelForEnsemble = READ_BY_NOBODY
    own_level: float | None = None

    @property
    def level(self) -> float | None:
        """Level of the piece for this ensemble: the director's word, else what the parts that are read make.

        None when no section reads a part whose level is known.
        """
        return self.by_parts.level if self.own_level is None else self.own_level

    @property
    def can_be_cast(self) -> bool:
        """Whether the ensemble can read the piece together: enough of it is covered, and few sit idle."""
        covered = len({fit.cast.part for fit in self.fits})
        busy = sum(section.size for section in {fit.section.id: fit.section for fit in self.fits}.values())
        return (
            covered > 0
            and covered >= LEAST_COVERED * (covered + len(self.casting.uncovered))
            and busy >= LEAST_BUSY * sum(section.size for section in self.sections)
        )

    @property
    def hardest(self) -> PartFit | None:
        """The part that lies highest above its section, of those that make the level."""
        known = [fit for fit in self.fits if fit.level is not None]
        known = [fit for fit in known if fit.cast in self.by_parts.counted] or known
        return max(known, key=lambda f: (f.level or 0.0) - f.section.level, default=None)

    @property
    def uncovered(self) -> tuple[Uncovered, ...]:
        """Parts nobody reads."""
        return self.casting.uncovered

    @property
    def idle(self) -> tuple[Section, ...]:
        """Sections without a part."""
        return tuple(section for section in self.sections if section.id in self.casting.idle)

    @property
    def beyond_comfort(self) -> tuple[PartFit, ...]:
        """Readings that leave the section's comfortable range."""
        return tuple(fit for fit in self.fits if fit.beyond is not None)

    @property
    def readings(self) -> tuple[PartFit, ...]:
        """For each section that reads a part of known level the hardest of its parts, in order."""
        hardest: dict[int, PartFit] = {}
        for fit in self.fits:
            held = hardest.get(fit.section.id)
            if fit.level is not None and (held is None or fit.level > (held.level or 0.0)):
                hardest[fit.section.id] = fit
        return tuple(hardest.values())

    @property
    def fixed_cost(self) -> int:
        """What the piece costs on any day: parts nobody reads, idle players, notes out of comfort."""
        parts = len(self.uncovered) + len({reading.part for reading in self.casting.readings})
        players = sum(section.size for section in self.sections)
        uncovered = UNCOVERED_COST * len(self.uncovered) / max(1, parts)
        idle = IDLE_COST * sum(section.size for section in self.idle) / max(1, players)
        beyond = len({fit.section.id for fit in self.beyond_comfort})
        reading = len({fit.section.id for fit in self.fits})
        return round(uncovered + idle + RANGE_COST * beyond / max(1, reading))

    @property
    def cost(self) -> float:
        """How badly the piece suits the ensemble as it reads today: what the plan says of it as well.

        Infinite when no part that is read has a level.
        """
        asks = [Ask(fit.share, fit.lost) for fit in self.readings if fit.share is not None]
        return round(reading_cost(asks, TARGET_SHARE)) + self.fixed_cost if asks else inf


def outlook_of(
    piece: Piece,
    profile: PieceProfile,
    ensemble: Ensemble,
    met: Exposure | None = None,
    own_level: float | None = None,
) -> PieceOutlook:
    """One piece as the ensemble would meet it.

    Args:
        piece: As it stands in the library.
        profile: Its study, with the levels in force.
        ensemble: Who reads.
        met: That someone in the room can know it; None when it is fresh, or when that does not matter.
        own_level: The level the director set for the piece as a whole; None where they set none.
    """
    casting = cast_parts(profile.parts, ensemble.sections)
    parts = {part.name: part for part in profile.parts}
    sections = {section.id: section for section in ensemble.sections}
    fits = tuple(_fit(sections[cast.section_id], cast, parts[cast.part]) for cast in casting.readings)
    by_parts = level_of_readings(profile.parts, casting.readings)
    return PieceOutlook(piece, profile, casting, fits, ensemble.sections, met, by_parts, own_level)


def _fit(section: Section, cast: CastPart, part: PartProfile) -> PartFit:
    beyond = beyond_comfort(section, cast, part)
    if part.level is None:
        return PartFit(section, cast, None, None, Verdict.UNKNOWN, beyond)
    error = part.level_error or 0.0
    ask = ask_of(section.level, part.level, hypot(error_of(section), error))
    return PartFit(section, cast, part.level, ask.share, verdict_of(ask.share), beyond, error, ask.lost)


def error_of(section: Section) -> float:
    """Standard error of a section's level, the usual one where only the director's word stands behind it."""
    return DEFAULT_ERROR if section.level_error is None else section.level_error


def beyond_comfort(section: Section, cast: CastPart, part: PartProfile) -> BeyondComfort | None:
    """Where a part leaves what the section's players reach in comfort; None when it does not.

    Pitches are as the section reads them: as printed, or written for its own instrument where it reads a
    part printed in another key.
    """
    ends, comfortable = pitches_read(section, cast, part), comfort_of(section.instrument, section.level)
    if ends is None or comfortable is None:
        return None
    low, high = ends
    beyond = BeyondComfort(
        down_to=str(low) if low.midi < comfortable[0] else "",
        up_to=str(high) if high.midi > comfortable[1] else "",
    )
    return beyond if beyond.down_to or beyond.up_to else None


def pitches_read(section: Section, cast: CastPart, part: PartProfile) -> tuple[Pitch, Pitch] | None:
    """The lowest and the highest pitch of a part as a section reads it; None where that is not known."""
    is_transposing = cast.how is How.TRANSPOSING
    ends = part.sounding_range if is_transposing else part.written_range
    return _pitches(section.instrument, (ends[0], ends[1]), is_transposing) if ends else None


@lru_cache(maxsize=8192)
def _pitches(instrument_id: str, ends: tuple[str, str], is_transposing: bool) -> tuple[Pitch, Pitch] | None:
    """As ``pitches_read``: parts of a library have few ranges, and thousands are looked at."""
    try:
        instrument = get_instrument(instrument_id)
    except KeyError:
        return None
    low, high = Pitch.parse(ends[0]), Pitch.parse(ends[1])
    if is_transposing:
        return instrument.transposition.to_written(low), instrument.transposition.to_written(high)
    return low, high


@lru_cache(maxsize=8192)
def comfort_of(instrument_id: str, level: float) -> tuple[float, float] | None:
    """The pitches (MIDI, written) that players of an instrument reach in comfort; None where not known."""
    try:
        return get_instrument(instrument_id).comfortable(level)
    except KeyError:
        return None
