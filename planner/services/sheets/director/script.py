"""The reading by the minute: what the director asks in the study time, then hearing, readings and mending."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from planner.core.fact import Fact, FactKind, Place
from planner.core.profile import (
    AccidentalKind,
    Excerpt,
    FormSection,
    MeterSpan,
    PartProfile,
    PatternKind,
    PieceProfile,
)
from planner.services.sheets.director.places import EnsemblePlace
from planner.services.sheets.director.score_map import fermatas_of
from planner.services.sheets.director.views import ScriptStep
from planner.study.fit.fit import ReadingMinutes
from planner.study.page.dynamics import LOUDNESS
from planner.wording.director import reading_script as words
from planner.wording.study.sentences import sentences_of
from planner.wording.words import bar_names

LEAST_SECONDS = 15
"""A step of the study is not shorter: what does not fit is left out. House choice."""
STEP_SECONDS = 5
"""Steps begin at a whole number of these. House choice."""
MOST_BARS = 3
"""Bars that are named for one answer. House choice."""
MOST_PARTS = 2
"""Parts that are named in one answer. House choice."""
LAST_CADENCE = 4
"""Bars at the end in which a cadence is no news. House choice."""
LONG_ANSWER = 200
"""Letters beyond which a further sentence is left out of an answer. House choice: two lines."""


@dataclass(frozen=True, slots=True)
class StudyStep:
    """Something to look at in the study time.

    Attributes:
        name: What.
        ask: What the director asks.
        answer: What is to be found.
        share: How much of the time it takes, beside the others.
        rank: What is left out last has the lowest.
    """

    name: str
    ask: str
    answer: str
    share: float
    rank: int


@dataclass(frozen=True, slots=True)
class Read:
    """What is read on the day.

    Attributes:
        profile: The study of the piece.
        parts: The parts that are read, in score order, with the hard spots of the passage.
        places: The places to look at together.
        passage: First and last measure that are read.
        excerpt: The passage where not all is read as the roadmap has it; None where all is.
    """

    profile: PieceProfile
    parts: tuple[PartProfile, ...]
    places: tuple[EnsemblePlace, ...]
    passage: Place
    excerpt: Excerpt | None = None

    @property
    def is_part_of_it(self) -> bool:
        """Whether only some of the bars are read."""
        return self.excerpt is not None and not self.excerpt.is_whole

    def holds(self, measure: int) -> bool:
        """Whether a measure is read."""
        return self.passage[0] <= measure <= self.passage[1]

    @property
    def tempo(self) -> tuple[str, int, int | None]:
        """The beat, and how many a minute in the first and in the second reading where the passage begins.

        The second is None where it begins at another tempo than the piece.
        """
        tempo, begin = self.profile.tempo_bpm, self.passage[0]
        first = tempo.first_reading or tempo.reading
        spans = [span for span in self.profile.tempos if span.measure <= begin]
        if self.is_part_of_it and len(spans) > 1 and spans[-1].first_reading:
            return spans[-1].unit, spans[-1].first_reading, None
        return tempo.unit, first, tempo.reading


def reading_script(read: Read, minutes: ReadingMinutes) -> tuple[ScriptStep, ...]:
    """The whole reading, step by step, from face up.

    Args:
        read: What is read.
        minutes: Of each part of the reading.
    """
    script = [*_study(study_steps(read), round(60 * minutes.study))]
    at = round(60 * minutes.study)
    unit, first, second = read.tempo
    later = (
        (minutes.hearing, words.HEARING, words.hearing(unit, first)),
        (minutes.first, words.FIRST, words.first_reading(unit, first, rejoining(read))),
        (minutes.fixing, words.FIXING, words.fixing(len(read.places))),
        (minutes.second, words.SECOND, words.second_reading(unit, second)),
    )
    for length, name, ask in later:
        script.append(ScriptStep(words.clock(_even(at)), name, ask, begins=True))
        at += round(60 * length)
    script.append(ScriptStep(words.clock(_even(at)), words.END, words.AFTERWARDS, begins=True))
    return tuple(script)


def rejoining(read: Read) -> tuple[FormSection, ...]:
    """The sections with a name on the page after the first, where one who is lost can come in again."""
    return tuple(
        section
        for section in read.profile.form
        if section.name.strip() and read.passage[0] < section.measure <= read.passage[1]
    )


def _study(steps: Sequence[StudyStep], seconds: int) -> Iterator[ScriptStep]:
    kept = fitting_steps(steps, seconds)
    whole, done = sum(step.share for step in kept), 0.0
    for number, step in enumerate(kept):
        yield ScriptStep(
            words.clock(_even(seconds * done / whole)), step.name, step.ask, step.answer, begins=not number
        )
        done += step.share


def _even(seconds: float) -> int:
    """A time as a clock on the wall shows it at a glance."""
    return STEP_SECONDS * round(seconds / STEP_SECONDS)


def fitting_steps(steps: Sequence[StudyStep], seconds: int) -> tuple[StudyStep, ...]:
    """The steps, in order, that all get ``LEAST_SECONDS``: those of the highest rank are left out."""
    kept = list(steps)
    while len(kept) > 1 and min(kept, key=_share).share / sum(map(_share, kept)) * seconds < LEAST_SECONDS:
        kept.remove(max(kept, key=lambda step: step.rank))
    return tuple(kept)


def _share(step: StudyStep) -> float:
    return step.share


def study_steps(read: Read) -> tuple[StudyStep, ...]:
    """What there is to look at, in the order of a good reader; a step without an answer is left out."""
    jumps = bool(read.profile.roadmap.turns) and read.excerpt is None
    found = (
        StudyStep(words.METER, _meter_question(read), _meter(read), 2.0, 1),
        StudyStep(words.ROADMAP, *_roadmap(read), 1.0 + jumps, 0),
        StudyStep(words.FORM, words.ASK_FORM, _form(read), 1.2, 7),
        StudyStep(words.KEY, _key_question(read), _key(read), 1.5, 2),
        StudyStep(words.HARMONY, words.ASK_HARMONY, _harmony(read), 0.8, 9),
        StudyStep(words.ACCIDENTALS, words.ASK_ACCIDENTALS, _accidentals(read), 1.2, 5),
        StudyStep(words.SPOTS, words.ASK_SPOTS, _spots(read), 2.5, 3),
        StudyStep(words.PATTERNS, words.ASK_PATTERNS, _patterns(read), 1.0, 8),
        StudyStep(words.DYNAMICS, words.ask_dynamics(waits=bool(_fermatas(read))), _dynamics(read), 1.2, 6),
    )
    return tuple(step for step in found if step.answer)


def _facts(read: Read, *kinds: FactKind) -> list[Fact]:
    """Those for everyone, kind by kind in the order asked, the heaviest of each first.

    Of a passage those that speak of it, or of all bars.
    """
    own = [fact for fact in read.profile.facts_for("") if all(_is_read(read, fact.places))]
    return [
        fact
        for kind in kinds
        for fact in sorted((one for one in own if one.kind is kind), key=lambda one: -one.weight)
    ]


def _is_read(read: Read, places: Sequence[Place]) -> Iterator[bool]:
    """For each place whether it is read."""
    for first, last in places:
        yield read.holds(first) and read.holds(last)


def _brief(read: Read, facts: Sequence[Fact]) -> str:
    """The facts in words, as many as are said in two lines; the first in any case."""
    kept: list[str] = []
    for sentence in sentences_of(facts, read.profile):
        if kept and sum(map(len, kept)) + len(sentence) > LONG_ANSWER:
            break
        kept.append(sentence)
    return " ".join(kept)


def _roadmap(read: Read) -> tuple[str, str]:
    """The question and the answer."""
    if read.excerpt is None:
        has_jumps = bool(read.profile.roadmap.turns)
        return words.ASK_ROADMAP[has_jumps], words.roadmap(read.profile)
    return words.ASK_PASSAGE, words.passage(bar_names(read.profile), read.passage)


def _meters(read: Read) -> list[MeterSpan]:
    """The meter where the passage begins, and those that come in it."""
    spans = read.profile.meters
    before = [span for span in spans if span.measure <= read.passage[0]]
    return [*before[-1:], *(span for span in spans if read.passage[0] < span.measure <= read.passage[1])]


def _meter_question(read: Read) -> str:
    return words.ask_meter(changes=len({(m.time, m.grouping) for m in _meters(read)}) > 1)


def _meter(read: Read) -> str:
    changes = _facts(read, FactKind.METER_CHANGES)
    if read.is_part_of_it:
        return words.meters(bar_names(read.profile), _meters(read))
    facts = _facts(read, FactKind.METER, FactKind.PICKUP)
    if len(" ".join(sentences_of(changes, read.profile))) > LONG_ANSWER:
        return f"{' '.join(sentences_of(facts, read.profile))} {words.many_meters(read.profile)}"
    return _brief(read, [*facts, *changes, *_facts(read, FactKind.AGAINST_METER)[:1]])


def _form(read: Read) -> str:
    sections = _brief(read, _facts(read, FactKind.SECTIONS))
    if sections and len(sections) <= LONG_ANSWER and not read.is_part_of_it:
        return sections
    return _brief(read, _facts(read, FactKind.OPENING_RETURNS, FactKind.PHRASES))


def _key_question(read: Read) -> str:
    return words.ask_key(changes=bool(_new_signatures(read)))


def _new_signatures(read: Read) -> tuple[int, ...]:
    """Measures in which most of the parts have a new key signature."""
    pitched = [part for part in read.parts if part.keys]
    bars = sorted({each.measure for part in pitched for each in part.keys if each.measure})
    return tuple(
        at
        for at in bars
        if read.holds(at)
        and 2 * sum(any(each.measure == at for each in part.keys) for part in pitched) > len(pitched)
    )


def _key(read: Read) -> str:
    home = _brief(read, _facts(read, FactKind.HOME_KEY))
    signatures = words.new_signatures(bar_names(read.profile), _new_signatures(read))
    away = _facts(read, FactKind.AWAY_FROM_HOME)[:1]
    return " ".join(each for each in (home, signatures, _brief(read, away)) if each)


def _harmony(read: Read) -> str:
    """A pedal point, and a cadence before the last one."""
    pedal = _facts(read, FactKind.PEDAL_POINT)[:1]
    inner = [
        fact for fact in _facts(read, FactKind.CADENCE) if fact.places[0][1] < read.passage[1] - LAST_CADENCE
    ]
    return _brief(read, [*pedal, *inner[:1]])


def _accidentals(read: Read) -> str:
    """The parts with the most notes outside their signature, each with the first of these notes."""
    if read.is_part_of_it:
        return ""
    outside = {
        part.name: [use for use in part.accidentals if use.kind is AccidentalKind.FIRST]
        for part in read.parts
    }
    times = {name: sum(use.times for use in uses) for name, uses in outside.items() if uses}
    if not times:
        return words.NO_ACCIDENTALS if any(part.written_range for part in read.parts) else ""
    most = sorted(times, key=lambda name: -times[name])[:MOST_PARTS]
    first = {name: min(outside[name], key=lambda use: use.measure) for name in most}
    return words.accidentals(
        bar_names(read.profile),
        [(name, times[name], first[name].pitch, first[name].measure) for name in most],
    )


def _spots(read: Read) -> str:
    numbers = bar_names(read.profile)
    if read.places:
        return words.see_places(numbers, [each.place for each in read.places])
    hardest = max(
        ((spot.weight, part.name, spot) for part in read.parts for spot in part.spots),
        key=lambda each: each[0],
        default=None,
    )
    return words.hardest(numbers, hardest[1], hardest[2].measure) if hardest else ""


def _patterns(read: Read) -> str:
    """What comes again for everyone, or the weightiest repeat, sequence, rhythm or ostinato of the parts."""
    together = _brief(read, _facts(read, FactKind.TUNE_RETURNS)[:1])
    if together:
        return together
    found = [
        (fact, pattern)
        for part in read.parts
        for fact in read.profile.facts_for(part.name)
        if fact.kind is FactKind.PATTERN
        and (pattern := part.patterns[int(fact.number("pattern"))]).kind is not PatternKind.UNISON
        and all(read.holds(first) and read.holds(last) for first, last in pattern.places)
    ]
    if not found:
        return ""
    fact, pattern = max(found, key=lambda each: each[0].weight)
    return words.pattern(fact.part, pattern, bar_names(read.profile))


def _fermatas(read: Read) -> list[int]:
    return [at for at in fermatas_of(read.profile) if read.holds(at)]


def _dynamics(read: Read) -> str:
    """The softest and the loudest mark of all parts with their bars, where it is sudden, and fermatas."""
    numbers = bar_names(read.profile)
    bars: dict[str, set[int]] = {}
    for part in read.parts:
        for use in part.dynamics:
            if use.mark in LOUDNESS and read.holds(use.measure):
                bars.setdefault(use.mark, set()).add(use.measure)
    ends = [min(bars, key=LOUDNESS.__getitem__), max(bars, key=LOUDNESS.__getitem__)] if bars else []
    marks = [(mark, sorted(bars[mark])) for mark in dict.fromkeys(ends)]
    each = (
        words.dynamics(numbers, marks, MOST_BARS) if marks else "",
        words.sudden(numbers, _sudden(read)),
        words.fermatas(numbers, _fermatas(read)),
    )
    return " ".join(sentence for sentence in each if sentence)


def _sudden(read: Read) -> list[int]:
    """The first bars in which more than one part has a sudden dynamic, or the only part has one."""
    found: dict[int, set[str]] = {}
    for part in read.parts:
        for use in part.dynamics:
            if use.sudden_from and read.holds(use.measure):
                found.setdefault(use.measure, set()).add(part.name)
    least = min(2, len(read.parts))
    return [at for at in sorted(found) if len(found[at]) >= least][:MOST_BARS]
