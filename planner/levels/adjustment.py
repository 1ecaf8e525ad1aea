"""A director's own levels: what they teach about other pieces, and every level as it is then in force."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.core.difficulty import DIMENSIONS, LevelCorrection
from planner.core.ensemble import LOWEST_LEVEL
from planner.core.profile import Contribution, PartProfile, PieceProfile
from planner.levels.refit import Correction, Refit, refit, with_published_grade
from planner.study.difficulty.difficulty import PEAK, STANDARD_ERROR, WIDE_ERROR
from planner.study.difficulty.scales import bounded
from planner.study.difficulty.weights import WEIGHTS, piece_level, piece_sum

OFFSET_SHRINKAGE = 5.0
"""How many corrections of a dimension the study's own word weighs.

Source: house choice, the same hold as on the offset of a whole level in ``corrections.refit``.
"""


WEIGHT_SHRINKAGE = 90.0
"""Hold on the shipped weights when a director corrects whole levels.

Source: house choice: one corrected level of a middling piece moves others by about a seventh of the
difference, ten that agree by about two thirds; a test holds it there.
"""


@dataclass(frozen=True, slots=True)
class Adjustment:
    """What corrections teach.

    Attributes:
        refit: Weights of the dimensions, and what is added to every weighted sum.
        offsets: What is added to a dimension's level everywhere, for dimensions that were corrected.
        corrections: How many levels stand behind it.
    """

    refit: Refit
    offsets: tuple[tuple[str, float], ...] = ()
    corrections: int = 0

    @property
    def is_neutral(self) -> bool:
        """Everything is as the study says."""
        return not self.refit.changes and self.refit.offset == 0 and not self.offsets


@dataclass(frozen=True, slots=True)
class _Rule:
    """An adjustment made ready for many parts: weights and offsets by dimension, and what a sum gains."""

    weights: Mapping[str, float]
    offsets: Mapping[str, float]
    added: float

    @classmethod
    def of(cls, adjustment: Adjustment) -> "_Rule":
        return cls(dict(adjustment.refit.weights), dict(adjustment.offsets), adjustment.refit.offset)


@dataclass(frozen=True, slots=True)
class Corrected:
    """A study beside what the director corrected in it."""

    profile: PieceProfile
    own: tuple[LevelCorrection, ...]


@dataclass(frozen=True, slots=True)
class LevelsInForce:
    """A study with the levels that count.

    Attributes:
        profile: Levels and contributions of piece and parts as they are in force.
        error: Standard error of the piece's level; None when it is not known.
    """

    profile: PieceProfile
    error: float | None


def fit_adjustment(corrected: Sequence[Corrected]) -> Adjustment:
    """What all corrections together teach: offsets of dimensions first, then weights.

    Source:
        The mean difference, shrunk towards none as if ``OFFSET_SHRINKAGE`` corrections had agreed with the
        study; weights by ``corrections.refit``.

    Example:
        >>> fit_adjustment(()).is_neutral
        True
    """
    gaps: dict[str, list[float]] = {}
    for each in corrected:
        for correction in each.own:
            found = _dimension(_contributions(each.profile, correction.part), correction.dimension)
            if found is not None:
                gaps.setdefault(correction.dimension, []).append(correction.level - found)
    offsets = {name: round(sum(gap) / (len(gap) + OFFSET_SHRINKAGE), 3) for name, gap in gaps.items()}
    evidence = [e for each in corrected for e in _evidence(each, offsets)]
    kept = tuple((name, offsets[name]) for name in DIMENSIONS if offsets.get(name))
    return Adjustment(refit(evidence, WEIGHT_SHRINKAGE), kept, sum(len(each.own) for each in corrected))


def _evidence(each: Corrected, offsets: Mapping[str, float]) -> list[Correction]:
    """Levels as a whole that the director set, each with its dimensions as they are in force.

    What the charts held the study's level to stays: only the director's difference counts.
    """
    found = []
    for correction in (correction for correction in each.own if not correction.dimension):
        contributions = _contributions(each.profile, correction.part)
        studied = each.profile.level if not correction.part else _part_level(each.profile, correction.part)
        if studied is None or not contributions:
            continue
        own = {one.dimension: one.level for one in each.own if one.dimension and one.part == correction.part}
        moved = _moved(contributions, own, offsets, WEIGHTS)
        step = (
            correction.level - studied
            if correction.part
            else piece_sum(correction.level) - piece_sum(studied)
        )
        found.append(Correction(moved, piece_level(_sum(contributions, WEIGHTS) + step)))
    return found


def in_force(
    profile: PieceProfile,
    adjustment: Adjustment,
    own: Sequence[LevelCorrection] = (),
    published_grade: float | None = None,
) -> LevelsInForce:
    """Every level of a piece as it counts: the director's word, else the study's with the adjustment.

    Args:
        profile: The study.
        adjustment: What the director's corrections teach.
        own: The corrections of this very piece.
        published_grade: The publisher's, if it is known; weighed in where the director has no word.
    """
    error = _error(profile)
    if adjustment.is_neutral and not own and (published_grade is None or profile.level is None):
        return LevelsInForce(profile, error)
    own_levels = {(one.part, one.dimension): one.level for one in own}
    taught = _taught(profile, _Rule.of(adjustment), own_levels)
    level = taught.level
    if level is not None and published_grade is not None:
        level, error = with_published_grade(level, error or WIDE_ERROR, published_grade)
        taught = replace(taught, level=level)
    if ("", "") in own_levels:
        taught = _set_to(
            own_levels["", ""], _taught(profile, _Rule.of(fit_adjustment(())), own_levels), own_levels
        )
    return LevelsInForce(taught, error)


def _taught(profile: PieceProfile, rule: _Rule, own_levels: Mapping[tuple[str, str], float]) -> PieceProfile:
    """The levels by the adjustment and by what the director set of parts and dimensions."""
    taught = tuple(_part(part, rule, own_levels) for part in profile.parts)
    parts = tuple(
        replace(p, level=own_levels[p.name, ""]) if (p.name, "") in own_levels else p for p in taught
    )
    contributions = _whole(profile, taught, rule, own_levels)
    level = profile.level
    step = _step(profile.contributions, contributions, rule) + _peak_step(taught, parts)
    if level is not None and abs(step) > 1e-9:
        level = round(bounded(piece_level(piece_sum(level) + step)), 2)
    return replace(profile, level=level, parts=parts, contributions=contributions)


def _set_to(level: float, profile: PieceProfile, own_levels: Mapping[tuple[str, str], float]) -> PieceProfile:
    """The piece at the director's level; its parts move along, but those the director set as well."""
    shift = 0.0 if profile.level is None else level - profile.level
    parts = tuple(p if (p.name, "") in own_levels else _shifted(p, shift) for p in profile.parts)
    return replace(profile, level=level, parts=parts)


def _part(part: PartProfile, rule: _Rule, own_levels: Mapping[tuple[str, str], float]) -> PartProfile:
    own = {
        dimension: level for (name, dimension), level in own_levels.items() if name == part.name and dimension
    }
    moved = _moved(part.contributions, own, rule.offsets, rule.weights)
    step = _step(part.contributions, moved, rule)
    level = part.level if part.level is None or abs(step) < 1e-9 else round(bounded(part.level + step), 2)
    return replace(part, level=level, contributions=moved)


def _whole(
    profile: PieceProfile,
    parts: Sequence[PartProfile],
    rule: _Rule,
    own_levels: Mapping[tuple[str, str], float],
) -> tuple[Contribution, ...]:
    """The piece's dimensions: each moves as the harder parts' move, independence by its own offset."""
    moves = dict(rule.offsets)
    for name in {*rule.offsets, *(dimension for part, dimension in own_levels if part and dimension)}:
        if name != "independence":
            before, after = (_peak(_dimensions(those, name)) for those in (profile.parts, parts))
            if before is not None and after is not None:
                moves[name] = after - before
    own = {dimension: level for (name, dimension), level in own_levels.items() if not name and dimension}
    return _moved(profile.contributions, own, moves, rule.weights)


def _moved(
    contributions: Sequence[Contribution],
    own: Mapping[str, float],
    offsets: Mapping[str, float],
    weights: Mapping[str, float],
) -> tuple[Contribution, ...]:
    """Contributions with levels moved and weights in force, the largest share first."""
    found = []
    for each in contributions:
        name, level = each.name, each.level
        if name in own:
            level = own[name]
        elif offsets.get(name):
            level = round(bounded(level + offsets[name]), 2)
        found.append(Contribution(name, level, weights.get(name, each.weight), each.evidence))
    return tuple(sorted(found, key=lambda each: (-share_of(each), each.name)))


def share_of(contribution: Contribution) -> float:
    """How much of a level a dimension makes.

    Example:
        >>> from planner.core.difficulty import Dimension
        >>> share_of(Contribution(Dimension.RANGE, 2.5, 0.2))
        0.4
    """
    return contribution.weight * (contribution.level - LOWEST_LEVEL)


def _step(before: Sequence[Contribution], after: Sequence[Contribution], rule: _Rule) -> float:
    """How far a weighted sum moves."""
    if not before:
        return 0.0
    return _sum(after, rule.weights) + rule.added - _sum(before, WEIGHTS)


def _sum(contributions: Sequence[Contribution], weights: Mapping[str, float]) -> float:
    return LOWEST_LEVEL + sum(weights[each.name] * (each.level - LOWEST_LEVEL) for each in contributions)


def _peak_step(before: Sequence[PartProfile], after: Sequence[PartProfile]) -> float:
    """How far the harder parts' level moves by the director's word on single parts."""
    if before == after:
        return 0.0
    old, new = (_peak([part.level for part in parts if part.level is not None]) for parts in (before, after))
    return (new or 0.0) - (old or 0.0)


def _peak(levels: Sequence[float]) -> float | None:
    """Mean of levels in which the higher ones count for more; None of none."""
    return float((sum(level**PEAK for level in levels) / len(levels)) ** (1 / PEAK)) if levels else None


def _dimensions(parts: Sequence[PartProfile], name: str) -> list[float]:
    return [each.level for part in parts for each in part.contributions if each.name == name]


def _shifted(part: PartProfile, shift: float) -> PartProfile:
    if part.level is None or not shift:
        return part
    return replace(part, level=round(bounded(part.level + shift), 2))


def _contributions(profile: PieceProfile, part: str) -> tuple[Contribution, ...]:
    if not part:
        return profile.contributions
    return next((each.contributions for each in profile.parts if each.name == part), ())


def _part_level(profile: PieceProfile, part: str) -> float | None:
    return next((each.level for each in profile.parts if each.name == part), None)


def _dimension(contributions: Sequence[Contribution], name: str) -> float | None:
    return next((each.level for each in contributions if each.name == name), None)


def _error(profile: PieceProfile) -> float | None:
    """Standard error of the piece's level: the wide one when that of any part is."""
    if profile.level is None:
        return None
    known = [part.level_error for part in profile.parts if part.level_error is not None]
    return WIDE_ERROR if not known or max(known) > STANDARD_ERROR else STANDARD_ERROR
