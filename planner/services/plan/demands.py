"""What a piece trains these sections in, whom it features, and what it has in common with others."""

from bisect import bisect_left
from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import pairwise

from planner.core.asked import Asked, unpacked
from planner.core.difficulty import FOCUSES, Dimension
from planner.core.ensemble import LOWEST_LEVEL, Ensemble
from planner.core.fact import FactKind
from planner.core.profile import Contribution, Excerpt, PieceProfile
from planner.core.text import folded
from planner.levels.adjustment import share_of
from planner.matching.library_fit import fit_library
from planner.matching.outlook import PieceOutlook
from planner.services.ports.work import UnitOfWork

STRONG_FROM, SOME_FROM = 2 / 3, 1 / 3
"""A piece trains a skill strongly when at least two thirds of the library ask less of it, and somewhat when
a third does. Source: house choices."""

LEAST_SHARE = 0.02
"""A skill that makes less of the level of what is read is not trained (house choice)."""

LEADS_SHARE, SOME_LEAD_SHARE, SOME_LEAD_BARS = 0.5, 0.15, 4.0
"""A section has the tune when so much of it is its own, and for a while when that share and so many bars are.
Source: house choices."""

MOST_ALIKE = 0.5
"""What more of the pieces than this have in common sets none of them apart (house choice)."""


NOBODY = frozenset({"traditional", "trad", "anonymous", "anon", "folk song", "unknown"})
"""What stands in place of a composer on tunes that have none: two of them have nothing in common by it."""


_FOCUS_OF: Mapping[str, int] = {each: FOCUSES.index(each.skill.value) for each in Dimension}
"""By dimension the place of its skill among ``FOCUSES``."""


def paper_least(level: float | None) -> float:
    """What all that makes the level of a part on paper comes to, of which little is known; above 0.

    Example:
        >>> paper_least(2.5), paper_least(0.5)
        (2.0, 0.5)
    """
    return max(LOWEST_LEVEL, (level or LOWEST_LEVEL) - LOWEST_LEVEL)


def part_shares(contributions: Sequence[Contribution], least: float = 0.0) -> tuple[float, ...]:
    """Share of the level of a part that each of ``FOCUSES`` makes, to four places; empty where none does.

    Args:
        contributions: What makes the level, as far as it is known.
        least: Of a piece on paper, what everything together comes to at least, known or not. What was entered
            of it then makes ``LEAST_SHARE`` at least: it can be trained, however little it asks.

    Example:
        >>> part_shares([Contribution(Dimension.KEY, 2.5, 0.1), Contribution(Dimension.RHYTHM, 1.5, 0.2)])[0]
        0.5
    """
    makes = [0.0] * len(FOCUSES)
    for each in contributions:
        makes[_FOCUS_OF[each.name]] += share_of(each)
    whole = max(sum(makes), least)
    if least and contributions:
        for at in {_FOCUS_OF[each.name] for each in contributions}:
            makes[at] = max(makes[at], LEAST_SHARE * whole)
    return tuple(round(share / whole, 4) for share in makes) if any(makes) else ()


def mean_shares(parts: Sequence[tuple[float, ...]]) -> Mapping[str, float]:
    """The mean of ``part_shares`` of several parts, by skill; parts of which nothing is known do not count.

    Example:
        >>> mean_shares([()])
        {}
    """
    known = [shares for shares in parts if shares]
    totals = {skill: sum(shares[at] for shares in known) for at, skill in enumerate(FOCUSES)}
    return {skill: round(total / len(known), 3) for skill, total in totals.items() if total > 0}


def skill_shares(outlook: PieceOutlook) -> Mapping[str, float]:
    """How much of the level of what these sections read each skill makes, 0 to 1, the mean of their parts.

    Every section counts once for each part it reads. Parts without a level, or without what makes it, say
    nothing. Of a piece on paper only key and meter can be known.
    """
    known_of = paper_least(outlook.level) if outlook.piece.is_on_paper else 0.0
    return mean_shares([part_shares(contributions, known_of) for contributions in _read(outlook)])


def stored_shares(asked: Asked) -> Mapping[str, float]:
    """``skill_shares`` as they are stored with what a piece asks of an ensemble."""
    shares = zip(FOCUSES, unpacked(asked.skills), strict=False)
    return {skill: share for skill, share in shares if share > 0}


def library_shares(work: UnitOfWork, ensemble: Ensemble) -> Mapping[int, Mapping[str, float]]:
    """Of every piece that an ensemble can read together its ``skill_shares``, without opening a study."""
    asked = work.pieces.asked(ensemble.id)
    fit = fit_library(list(asked.values()), ensemble)
    able = (fit.is_read & fit.can_be_cast).tolist()
    return {i: stored_shares(one) for (i, one), is_able in zip(asked.items(), able, strict=True) if is_able}


def skill_evidence(outlook: PieceOutlook, skill: str) -> Contribution | None:
    """Of what these sections read, what makes most of a skill's share in the level of a part."""
    of_skill = [each for part in _read(outlook) for each in part if Dimension(each.name).skill.value == skill]
    return max(of_skill, key=share_of, default=None)


def _read(outlook: PieceOutlook) -> list[tuple[Contribution, ...]]:
    """What makes the level of each part that is read; of the piece where the study tells of no part."""
    by_part = {part.name: part.contributions for part in outlook.profile.parts}
    found = [by_part[fit.cast.part] for fit in outlook.fits if by_part.get(fit.cast.part)]
    return found or [outlook.profile.contributions]


class Ladder:
    """Where a piece stands in its library, skill by skill.

    Every piece asks something of rhythm, and of nearly every other skill; what a piece *trains* is what it
    asks more of than others do. So the share of the level that a skill makes is held against the same share
    in all other pieces the ensemble could read, met ones too: a piece of even demands trains what is rarest
    elsewhere, and a hard piece trains no more skills than an easy one.
    """

    def __init__(self, shares: Mapping[int, Mapping[str, float]]) -> None:
        """Take in by piece its ``skill_shares``."""
        self._shares = shares
        every = shares.values()
        self._steps = {skill: sorted(shares.get(skill, 0.0) for shares in every) for skill in FOCUSES}

    def standing(self, piece_id: int, skill: str) -> float:
        """Share of the library that asks less of a skill than a piece does, 0 to 1."""
        steps = self._steps[skill]
        return bisect_left(steps, self._shares[piece_id].get(skill, 0.0)) / max(1, len(steps))

    def trains(self, piece_id: int) -> tuple[tuple[str, int], ...]:
        """Focus and tier: 2 it trains it strongly, 1 somewhat; at least one if anything is known."""
        shares = self._shares[piece_id]
        able = [skill for skill in FOCUSES if shares.get(skill, 0.0) >= LEAST_SHARE]
        found = [
            (skill, 2 if at >= STRONG_FROM else 1)
            for skill in able
            if (at := self.standing(piece_id, skill)) >= SOME_FROM
        ]
        if not found and able:
            best = max(able, key=lambda skill: (self.standing(piece_id, skill), shares[skill]))
            return ((best, 1),)
        return tuple(found)

    def does_train(self, piece_id: int, skill: str) -> bool:
        """Whether a skill is among those that a piece trains, without looking at all the others."""
        if self._shares[piece_id].get(skill, 0.0) < LEAST_SHARE:
            return False
        if self.standing(piece_id, skill) >= SOME_FROM:
            return True
        is_another = any(
            share >= LEAST_SHARE and other in self._steps and self.standing(piece_id, other) >= SOME_FROM
            for other, share in self._shares[piece_id].items()
        )
        return not is_another and skill in dict(self.trains(piece_id))


def features(outlook: PieceOutlook, excerpt: Excerpt | None = None) -> tuple[tuple[int, int], ...]:
    """Sections that have the tune, and tier: 2 for most of it, 1 for a while.

    Who doubles it plays it, and is featured as well.

    Args:
        outlook: Who reads which part.
        excerpt: The passage that is read; None for all of the piece.
    """
    bars, doubled = tune_bars(outlook.profile, excerpt), doubled_bars(outlook.profile, excerpt)
    whole = sum(bars.values())
    own: dict[int, float] = {}
    for section, part in {(fit.section.id, fit.cast.part) for fit in outlook.fits}:
        own[section] = own.get(section, 0.0) + bars.get(part, 0.0) + doubled.get(part, 0)
    found = []
    for section, count in own.items():
        if count >= LEADS_SHARE * whole > 0:
            found.append((section, 2))
        elif count >= SOME_LEAD_SHARE * whole > 0 and count >= SOME_LEAD_BARS:
            found.append((section, 1))
    return tuple(sorted(found))


def tune_bars(profile: PieceProfile, excerpt: Excerpt | None = None) -> Mapping[str, float]:
    """Written bars in which each part has the tune, by name; a place inside a bar is taken as its middle."""
    first, end = _read_bars(profile, excerpt)
    places = [span.measure + (0.5 if span.offset_quarters > 0 else 0.0) for span in profile.melody]
    bars: dict[str, float] = {}
    for (start, stop), span in zip(pairwise([*places, float(profile.measures)]), profile.melody, strict=True):
        held = min(stop, end) - max(start, first)
        if span.part and held > 0:
            bars[span.part] = bars.get(span.part, 0.0) + held
    return bars


def doubled_bars(profile: PieceProfile, excerpt: Excerpt | None = None) -> Mapping[str, int]:
    """Written bars in which each part plays the tune of another one, in unison or octaves, by name."""
    first, end = _read_bars(profile, excerpt)
    found: dict[str, set[int]] = {}
    for fact in profile.facts:
        if fact.kind is FactKind.DOUBLES_TUNE:
            bars = found.setdefault(fact.part, set())
            for start, last in fact.places:
                bars.update(range(max(start, first), min(last + 1, end)))
    return {part: len(bars) for part, bars in found.items()}


def _read_bars(profile: PieceProfile, excerpt: Excerpt | None) -> tuple[int, int]:
    """The first bar that is read, and the one after the last."""
    return (0, profile.measures) if excerpt is None else (excerpt.measure, excerpt.end_measure + 1)


def traits(outlook: PieceOutlook) -> frozenset[str]:
    """What a piece may have in common with its neighbors: composer, tags, home key and first meter."""
    piece, profile = outlook.piece, outlook.profile
    composer = folded(piece.composer).rstrip(".")
    tags = (("tag", folded(tag)) for tag in piece.tags)
    named = [("composer", "" if composer in NOBODY else composer), *tags]
    heard = [("key", profile.home_key), *(("meter", span.time) for span in profile.meters[:1])]
    return frozenset(f"{kind} {value}" for kind, value in (*named, *heard) if value)


def telling_traits(every: Mapping[int, frozenset[str]]) -> Mapping[int, frozenset[str]]:
    """By piece its traits, without those that more than half of the pieces share."""
    counts = Counter(trait for own in every.values() for trait in own)
    common = {trait for trait, count in counts.items() if count > MOST_ALIKE * len(every)}
    return {piece: own - common for piece, own in every.items()}
