"""Whether reading a piece fits the minutes, and which passage to take when it does not."""

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from planner.core.difficulty import Dimension
from planner.core.fact import Fact, FactKind, named
from planner.core.profile import Contribution, Excerpt, Spot
from planner.study.facts import StudyFacts
from planner.study.fit.excerpts import Border, choose_excerpt, is_played_straight
from planner.study.notes.columns import Columns
from planner.study.time.tempo import ReadingStudy, measure_seconds

DEFAULT_MINUTES = 10.0
"""Minutes from face up to pencils down. Source: UIL/TMAA sight-reading script (2014), largest groups."""

OTHER_MINUTES = (5.0, 7.0, 15.0)
"""Other usual lengths of a reading, for which an excerpt is kept ready.

Source: instruction times of MSBOA (5) and of smaller UIL groups (7); 15 is a house choice.
"""

STUDY_MINUTES = 2.0
STUDY_MINUTES_A_LEVEL = 0.5
"""Silent study, longer for harder music. Source: house choices; with the hearing it lies within the
3 to 7 minutes of contest procedures (UIL, MSHSAA and MSBOA instruction times)."""

HEARING_SHARE = 0.5
"""Hearing it inwardly takes half the playing time: opening, turns, hard spots. House choice."""

FIXING_MINUTES = 1.5
"""Naming what went wrong and fixing it away from the tempo. House choice."""

DOUBLE_BARS = frozenset({"light-light", "light-heavy", "heavy-heavy"})
"""Bar lines that part the music (MusicXML bar-style)."""

LEADING_SKILLS = 3
"""Skills that the excerpt should keep: those that make the piece's level. House choice."""


@dataclass(frozen=True, slots=True)
class ReadingMinutes:
    """Minutes of one reading.

    Attributes:
        study: Silent study.
        hearing: Hearing it inwardly.
        first: First reading.
        fixing: Naming and fixing.
        second: Second reading.
    """

    study: float
    hearing: float
    first: float
    fixing: float
    second: float

    @property
    def total(self) -> float:
        """All together, to a tenth of a minute."""
        return round(self.study + self.hearing + self.first + self.fixing + self.second, 1)


def measure_reading(playing: float, slower: float, level: float | None) -> ReadingMinutes:
    """Minutes that study, hearing, first reading, fixing and second reading take.

    Args:
        playing: Playing time in minutes at the marked tempo, roadmap included.
        slower: Marked tempo over the tempo of the readings, 1 or more.
        level: Level of the piece; 1 when unknown.

    Example:
        >>> measure_reading(2.0, 1.25, 3.0).total
        11.0
    """
    study = STUDY_MINUTES + STUDY_MINUTES_A_LEVEL * (level or 1.0)
    return ReadingMinutes(study, HEARING_SHARE * playing, playing * slower, FIXING_MINUTES, playing * slower)


def playing_minutes_within(minutes: float, slower: float, level: float | None) -> float:
    """Playing minutes at the marked tempo that leave room for all the rest; 0 when there is none.

    Example:
        >>> playing_minutes_within(11.0, 1.25, 3.0)
        2.0
    """
    fixed = measure_reading(0.0, slower, level)
    return max(0.0, (minutes - fixed.study - fixed.fixing) / (HEARING_SHARE + 2 * slower))


@dataclass(frozen=True, slots=True)
class FitStudy:
    """Minutes of a whole reading, excerpts for several lengths of time, and the fact for readers.

    ``main`` is the excerpt for the minutes asked about, when the piece does not fit them.
    """

    minutes: ReadingMinutes
    excerpts: tuple[Excerpt, ...]
    facts: tuple[Fact, ...]
    main: Excerpt | None = None


@dataclass(frozen=True, slots=True)
class Demands:
    """What the later questions found: the piece's level, what makes it, and each part's spots."""

    level: float | None
    contributions: tuple[Contribution, ...]
    spots: tuple[tuple[Spot, ...], ...]


def find_fit(columns: Columns, facts: StudyFacts, reading: ReadingStudy, demands: Demands) -> FitStudy:
    """Whether the piece fits the usual minutes, and the best excerpt for these and for others.

    Args:
        columns: The score.
        facts: What is known of it.
        reading: How long it lasts, as marked and at the tempos of the first reading.
        demands: Level, contributions and spots.
    """
    seconds = reading.seconds
    slower = max(1.0, reading.first_seconds / seconds) if seconds > 0 else 1.0
    whole = measure_reading(seconds / 60, slower, demands.level)
    lengths = measure_seconds(columns, facts.quarter_bpm)
    firsts = lengths * np.array(reading.slower)
    # What a measure takes of the hearing and both readings, in playing seconds of the piece as a whole.
    taken = ((HEARING_SHARE * lengths + 2 * firsts) / (HEARING_SHARE + 2 * slower)).tolist()
    evidence = skill_evidence(facts, demands)
    borders, straight = borders_of(columns, facts), is_played_straight(facts)
    found: dict[tuple[int, int], Excerpt] = {}
    main: Excerpt | None = None
    for limit in sorted({DEFAULT_MINUTES, *OTHER_MINUTES}):
        if whole.total <= limit:
            continue
        budget = playing_minutes_within(limit, slower, demands.level) * 60
        excerpt = choose_excerpt(borders, straight, taken, budget, evidence)
        if excerpt is not None:
            where = slice(excerpt.measure, excerpt.end_measure + 1)
            minutes, first = (round(float(each[where].sum()) / 60, 2) for each in (lengths, firsts))
            excerpt = replace(excerpt, minutes=minutes, first_minutes=first)
            found.setdefault((excerpt.measure, excerpt.end_measure), excerpt)
            main = excerpt if limit == DEFAULT_MINUTES else main
    return FitStudy(whole, tuple(found.values()), (_fact(whole, DEFAULT_MINUTES, main),), main)


def borders_of(columns: Columns, facts: StudyFacts) -> list[Border]:
    """The pieces between which the music can be cut: phrases, cut again at sections and double bars.

    A border is strong where a section, a rehearsal mark or a double bar stands, or after an authentic
    cadence.
    """
    measures = columns.score.measures
    strong = {0, len(measures)}
    for section in facts.sections:
        strong |= {section.measure, section.end_measure + 1}
    for measure in measures:
        if measure.rehearsal:
            strong.add(measure.index)
        if measure.right_bar in DOUBLE_BARS:
            strong.add(measure.index + 1)
    borders = strong | {phrase.measure for phrase in facts.phrases}
    borders |= {phrase.end_measure + 1 for phrase in facts.phrases}
    closed = {cadence.measure for cadence in facts.cadences if cadence.kind == "authentic"}
    ordered = sorted(border for border in borders if 0 <= border <= len(measures))
    return [
        Border(first, after - 1, first in strong, after in strong or after - 1 in closed)
        for first, after in pairwise(ordered)
    ]


def skill_evidence(facts: StudyFacts, demands: Demands) -> dict[str, list[float]]:
    """For each of the piece's leading skills, how much of it each measure asks; only skills that ask any."""
    names = [Dimension(each.name).skill.value for each in demands.contributions]
    leading = list(dict.fromkeys(names))[:LEADING_SKILLS]
    table = {name: [0.0] * len(facts.pulses) for name in leading}
    for spots in demands.spots:
        for spot in spots:
            for kind in spot.kinds:
                if kind.skill in table:
                    table[kind.skill][spot.measure] += 1.0
    for skill, places in (("meter", facts.meters[1:]), ("key", facts.keys[1:])):
        if skill in table:
            for place in places:
                table[skill][place.measure] += 1.0
    return {skill: asked for skill, asked in table.items() if any(asked)}


CERTAINTY = 0.6
"""How sure the minutes of a reading are. House choice: the steps but the playing time are house choices."""


def _fact(whole: ReadingMinutes, limit: float, excerpt: Excerpt | None) -> Fact:
    numbers = named(
        limit=limit,
        total=whole.total,
        study=whole.study,
        hearing=whole.hearing,
        first=whole.first,
        fixing=whole.fixing,
        second=whole.second,
    )
    if whole.total <= limit:
        return Fact(FactKind.WHOLE_FITS, numbers=numbers, certainty=CERTAINTY, weight=0.3)
    if excerpt is None:
        return Fact(FactKind.NOTHING_FITS, numbers=numbers, certainty=CERTAINTY, weight=0.7)
    places = ((excerpt.measure, excerpt.end_measure),)
    return Fact(FactKind.PASSAGE_FITS, places=places, numbers=numbers, certainty=CERTAINTY, weight=0.7)
