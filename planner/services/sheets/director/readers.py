"""Who reads what on the day, how it will go, and what each section should find in its own part."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from math import hypot

from planner.core.ensemble import Ensemble
from planner.core.fact import FactKind, Place
from planner.core.profile import (
    AccidentalKind,
    AccidentalUse,
    PartProfile,
    Pattern,
    PatternKind,
    PieceProfile,
)
from planner.core.term import Slot, Term
from planner.levels.curve import TARGET_SHARE, expected_share
from planner.levels.readable import HARD_BELOW, Verdict
from planner.matching.outlook import PartFit, PieceOutlook, error_of

SHAKY_BELOW = (HARD_BELOW + TARGET_SHARE) / 2
"""Expected share below which a section may need help: about 77 %. House choice."""


@dataclass(frozen=True, slots=True)
class Forecast:
    """What is expected of a section at sight.

    Attributes:
        fit: Its part and the share expected.
        low, high: The share one standard error to either side.
    """

    fit: PartFit
    low: float
    high: float

    @property
    def is_out_of_reach(self) -> bool:
        """It is expected to get too few bars right."""
        return self.fit.verdict is Verdict.TOO_HARD

    @property
    def may_need_help(self) -> bool:
        """It is expected to get few bars right, though enough."""
        return not self.is_out_of_reach and (self.fit.share or 0.0) < SHAKY_BELOW


def forecast_of(fit: PartFit) -> Forecast | None:
    """The forecast for a reading; None where the level of the part is not known."""
    if fit.share is None or fit.level is None:
        return None
    error = hypot(error_of(fit.section), fit.error)
    level = fit.section.level
    return Forecast(
        fit, expected_share(level - error, fit.level), expected_share(level + error, fit.level)
    )  # fmt: skip


def here_for(ensemble: Ensemble, term: Term, slots: Sequence[Slot]) -> Ensemble:
    """The ensemble as it reads a piece on a day: without who is away, at stations those who sit there."""
    shape = term.shape_on(slots[0].on)
    stations = [slot.station for slot in slots]
    seated: Collection[int] = {section.id for section in ensemble.sections}
    if None not in stations:
        seated = {
            section_id
            for station in stations
            if station is not None and station < len(shape.stations)
            for section_id in shape.stations[station].section_ids
        }
    kept = tuple(s for s in ensemble.sections if s.id in seated and s.id not in shape.absent)
    return replace(ensemble, sections=kept)


def read_parts(profile: PieceProfile, outlook: PieceOutlook) -> tuple[PartProfile, ...]:
    """The parts that somebody reads, in score order; all of them where nobody fits any."""
    read = {reading.part for reading in outlook.casting.readings}
    return tuple(part for part in profile.parts if part.name in read) or profile.parts


def pattern_to_find(profile: PieceProfile, part: PartProfile, passage: Place) -> Pattern | None:
    """The weightiest thing that comes again in a passage of a part by itself; None without any."""
    found = [
        (fact.weight, part.patterns[int(fact.number("pattern"))])
        for fact in profile.facts_for(part.name)
        if fact.kind is FactKind.PATTERN
    ]
    own = [
        (weight, pattern)
        for weight, pattern in found
        if pattern.kind is not PatternKind.UNISON
        and all(passage[0] <= first and last <= passage[1] for first, last in pattern.places)
    ]
    return max(own, key=lambda each: each[0])[1] if own else None


def note_to_find(part: PartProfile, passage: Place) -> AccidentalUse | None:
    """The note outside the signature in most bars of a passage of a part; None without any.

    Where not all its bars are in the passage how often it comes there is not known: ``times`` is 0 then.
    """
    found = []
    for use in (use for use in part.accidentals if use.kind is AccidentalKind.FIRST):
        inside = tuple(at for at in use.measures if passage[0] <= at <= passage[1])
        if inside:
            times = use.times if inside == use.measures else 0
            found.append(replace(use, measure=inside[0], measures=inside, times=times))
    return max(found, key=lambda use: (len(use.measures), -use.measure), default=None)
