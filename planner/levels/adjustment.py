"""A director's own levels: what they teach about other pieces, and every level as it is then in force."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.core.difficulty import DIMENSIONS, LevelCorrection
from planner.core.ensemble import LOWEST_LEVEL
from planner.core.profile import Contribution, PartProfile, PieceProfile
from planner.levels.on_paper import levels_on_paper
from planner.levels.refit import Correction, Refit, refit, with_published_grade
from planner.study.difficulty.difficulty import STANDARD_ERROR, WIDE_ERROR
from planner.study.difficulty.roles import parts_of_group
from planner.study.difficulty.scales import bounded
from planner.study.difficulty.together import contributions_together, level_together

OFFSET_SHRINKAGE = 5.0
"""How many corrections of a dimension the study's own word weighs.

Source: house choice, the same hold as on the offset of a whole level in ``corrections.refit``.
"""


WEIGHT_SHRINKAGE = 180.0
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
    """An adjustment made ready for many parts: what weights and levels gain by dimension, and a sum."""

    moves: Mapping[str, float]
    offsets: Mapping[str, float]
    added: float

    @classmethod
    def of(cls, adjustment: Adjustment) -> "_Rule":
        return cls(dict(adjustment.refit.moves), dict(adjustment.offsets), adjustment.refit.offset)


_NEUTRAL = _Rule({}, {}, 0.0)


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
    """Levels as a whole that the director set, each with its dimensions as they are in force."""
    found = []
    for correction in (correction for correction in each.own if not correction.dimension):
        contributions = _contributions(each.profile, correction.part)
        studied = each.profile.level if not correction.part else _part_level(each.profile, correction.part)
        if studied is None or not contributions:
            continue
        own = {one.dimension: one.level for one in each.own if one.dimension and one.part == correction.part}
        moved = _moved(contributions, own, _Rule({}, offsets, 0.0))
        found.append(Correction(moved, correction.level - studied - _step(contributions, moved)))
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
    if profile.is_on_paper:
        return LevelsInForce(
            *levels_on_paper(profile, {(one.part, one.dimension): one.level for one in own}, published_grade)
        )
    error = _error(profile)
    if adjustment.is_neutral and not own and (published_grade is None or profile.level is None):
        return LevelsInForce(profile, error)
    own_levels = {(one.part, one.dimension): one.level for one in own}
    word = own_levels.get(("", ""))
    parts = _taught(profile, _Rule.of(adjustment) if word is None else _NEUTRAL, own_levels)
    level = None if profile.level is None else _together(parts)
    if word is not None:
        parts = parts if level is None else _shifted_to(word, parts, own_levels)
        level = word
    elif level is not None and published_grade is not None:
        target, error = with_published_grade(level, error or WIDE_ERROR, published_grade)
        parts = _shifted_to(target, parts, own_levels)
        level = _together(parts)
    contributions = _whole(parts, own_levels)
    return LevelsInForce(replace(profile, level=level, parts=parts, contributions=contributions), error)


def _taught(
    profile: PieceProfile, rule: _Rule, own_levels: Mapping[tuple[str, str], float]
) -> tuple[PartProfile, ...]:
    """The parts by the adjustment and by what the director set of parts and dimensions.

    A dimension that the director set for the whole piece moves in every part as far as it moves in the whole.
    """
    whole: dict[str, float] = {each.name: each.level for each in profile.contributions}
    moves = {
        dimension: level - whole[dimension]
        for (part, dimension), level in own_levels.items()
        if not part and dimension in whole
    }
    found = []
    for part in profile.parts:
        own = {
            dimension: level
            for (name, dimension), level in own_levels.items()
            if name == part.name and dimension
        }
        offsets = {name: moves.get(name, rule.offsets.get(name, 0.0)) for name in {*rule.offsets, *moves}}
        moved = _moved(part.contributions, own, replace(rule, offsets=offsets))
        step = _step(part.contributions, moved) + (rule.added if part.contributions else 0.0)
        level = part.level
        if level is not None and abs(step) > 1e-9:
            level = round(bounded(level + step), 2)
        found.append(replace(part, level=own_levels.get((part.name, ""), level), contributions=moved))
    return tuple(found)


def _group(parts: Sequence[PartProfile]) -> list[PartProfile]:
    """The group's own lines that have a level."""
    rated = [part for part in parts if part.level is not None]
    return [part for part, is_own in zip(rated, parts_of_group(rated), strict=True) if is_own]


def _together(parts: Sequence[PartProfile]) -> float | None:
    return level_together([part.level for part in _group(parts) if part.level is not None])


def _whole(
    parts: Sequence[PartProfile], own_levels: Mapping[tuple[str, str], float]
) -> tuple[Contribution, ...]:
    """What makes the piece, from its parts; a dimension that the director set stands as set."""
    group = _group(parts)
    levels = [part.level for part in group if part.level is not None]
    found = contributions_together(levels, [part.contributions for part in group])
    own = {dimension: level for (part, dimension), level in own_levels.items() if not part and dimension}
    return tuple(replace(each, level=own.get(each.name, each.level)) for each in found)


def _shifted_to(
    level: float, parts: Sequence[PartProfile], own_levels: Mapping[tuple[str, str], float]
) -> tuple[PartProfile, ...]:
    """The parts moved alike so that together they come to a level; those that the director set stay."""
    shift, moved = 0.0, tuple(parts)
    for _ in range(_STEPS):
        found = _together(moved)
        if found is None or abs(found - level) < _NEAR:
            break
        shift += level - found
        moved = tuple(p if (p.name, "") in own_levels else _shifted(p, shift) for p in parts)
    return moved


_STEPS, _NEAR = 6, 0.005
"""Steps towards a level, and how near is there: levels are kept to hundredths."""


def _moved(
    contributions: Sequence[Contribution], own: Mapping[str, float], rule: _Rule
) -> tuple[Contribution, ...]:
    """Contributions with levels moved and weights in force, the largest share first."""
    found = []
    for each in contributions:
        name, level = each.name, each.level
        if name in own:
            level = own[name]
        elif rule.offsets.get(name):
            level = round(bounded(level + rule.offsets[name]), 2)
        weight = max(0.0, each.weight + rule.moves.get(name, 0.0))
        found.append(Contribution(name, level, weight, each.evidence))
    return tuple(sorted(found, key=lambda each: (-share_of(each), each.name)))


def share_of(contribution: Contribution) -> float:
    """How much of a level a dimension makes.

    Example:
        >>> from planner.core.difficulty import Dimension
        >>> share_of(Contribution(Dimension.RANGE, 2.5, 0.2))
        0.4
    """
    return contribution.weight * (contribution.level - LOWEST_LEVEL)


def _step(before: Sequence[Contribution], after: Sequence[Contribution]) -> float:
    """How far the dimensions' shares move together."""
    return sum(share_of(each) for each in after) - sum(share_of(each) for each in before)


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
