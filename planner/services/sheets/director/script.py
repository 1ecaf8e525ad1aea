"""The reading by the minute: what the director asks in the study time, then hearing, readings and mending."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from planner.core.fact import Fact, FactKind
from planner.core.profile import AccidentalKind, FormSection, PartProfile, PatternKind, PieceProfile
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
"""Steps of the study begin at a whole number of these. House choice."""
MOST_BARS = 3
"""Bars that are named for one answer. House choice."""
MOST_PARTS = 2
"""Parts that are named in one answer. House choice."""
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


def reading_script(
    profile: PieceProfile,
    parts: Sequence[PartProfile],
    places: Sequence[EnsemblePlace],
    minutes: ReadingMinutes,
) -> tuple[ScriptStep, ...]:
    """The whole reading, step by step, from face up.

    Args:
        profile: The study of the piece.
        parts: The parts that are read, in score order.
        places: The places to look at together.
        minutes: Of each part of the reading.
    """
    script = [*_study(study_steps(profile, parts, places), round(60 * minutes.study))]
    at = round(60 * minutes.study)
    tempo = profile.tempo_bpm
    later = (
        (minutes.hearing, words.HEARING, words.hearing(tempo)),
        (minutes.first, words.FIRST, words.first_reading(tempo, rejoining(profile))),
        (minutes.fixing, words.FIXING, words.fixing(len(places))),
        (minutes.second, words.SECOND, words.second_reading(tempo)),
    )
    for length, name, ask in later:
        script.append(ScriptStep(words.clock(at), name, ask, begins=True))
        at += round(60 * length)
    script.append(ScriptStep(words.clock(at), words.END, words.AFTERWARDS, begins=True))
    return tuple(script)


def rejoining(profile: PieceProfile) -> tuple[FormSection, ...]:
    """The sections with a name on the page after the first, where one who is lost can come in again."""
    return tuple(section for section in profile.form[1:] if section.name.strip())


def _study(steps: Sequence[StudyStep], seconds: int) -> Iterator[ScriptStep]:
    kept = fitting_steps(steps, seconds)
    whole, done = sum(step.share for step in kept), 0.0
    for number, step in enumerate(kept):
        at = STEP_SECONDS * round(seconds * done / whole / STEP_SECONDS)
        yield ScriptStep(words.clock(at), step.name, step.ask, step.answer, begins=not number)
        done += step.share


def fitting_steps(steps: Sequence[StudyStep], seconds: int) -> tuple[StudyStep, ...]:
    """The steps, in order, that all get ``LEAST_SECONDS``: those of the highest rank are left out."""
    kept = list(steps)
    while len(kept) > 1 and min(kept, key=_share).share / sum(map(_share, kept)) * seconds < LEAST_SECONDS:
        kept.remove(max(kept, key=lambda step: step.rank))
    return tuple(kept)


def _share(step: StudyStep) -> float:
    return step.share


def study_steps(
    profile: PieceProfile, parts: Sequence[PartProfile], places: Sequence[EnsemblePlace]
) -> tuple[StudyStep, ...]:
    """What there is to look at, in the order of a good reader; a step without an answer is left out."""
    has_jumps = bool(profile.roadmap.turns)
    found = (
        StudyStep(words.METER, _meter_question(profile), _meter(profile), 2.0, 1),
        StudyStep(words.ROADMAP, words.ASK_ROADMAP[has_jumps], words.roadmap(profile), 1.0 + has_jumps, 0),
        StudyStep(words.FORM, words.ASK_FORM, _form(profile), 1.2, 7),
        StudyStep(words.KEY, _key_question(profile), _key(profile), 1.5, 2),
        StudyStep(words.HARMONY, words.ASK_HARMONY, _harmony(profile), 0.8, 9),
        StudyStep(words.ACCIDENTALS, words.ASK_ACCIDENTALS, _accidentals(profile, parts), 1.2, 5),
        StudyStep(words.SPOTS, words.ASK_SPOTS, _spots(profile, parts, places), 2.5, 3),
        StudyStep(words.PATTERNS, words.ASK_PATTERNS, _patterns(profile, parts), 1.0, 8),
        StudyStep(words.DYNAMICS, words.ASK_DYNAMICS, _dynamics(profile, parts), 1.2, 6),
    )
    return tuple(step for step in found if step.answer)


def _facts(profile: PieceProfile, *kinds: FactKind) -> list[Fact]:
    """Those for everyone, kind by kind in the order asked, the heaviest of each first."""
    own = profile.facts_for("")
    return [
        fact
        for kind in kinds
        for fact in sorted((one for one in own if one.kind is kind), key=lambda one: -one.weight)
    ]


def _brief(profile: PieceProfile, facts: Sequence[Fact]) -> str:
    """The facts in words, as many as are said in two lines; the first in any case."""
    kept: list[str] = []
    for sentence in sentences_of(facts, profile):
        if kept and sum(map(len, kept)) + len(sentence) > LONG_ANSWER:
            break
        kept.append(sentence)
    return " ".join(kept)


def _meter_question(profile: PieceProfile) -> str:
    return words.ask_meter(changes=len({(m.time, m.grouping) for m in profile.meters}) > 1)


def _meter(profile: PieceProfile) -> str:
    facts = _facts(profile, FactKind.METER, FactKind.PICKUP)
    changes = _facts(profile, FactKind.METER_CHANGES)
    against = _facts(profile, FactKind.AGAINST_METER)[:1]
    if len(" ".join(sentences_of(changes, profile))) > LONG_ANSWER:
        opening = " ".join(sentences_of(facts, profile))
        return f"{opening} {words.many_meters(profile)}"
    return _brief(profile, [*facts, *changes, *against])


def _form(profile: PieceProfile) -> str:
    sections = _brief(profile, _facts(profile, FactKind.SECTIONS))
    if sections and len(sections) <= LONG_ANSWER:
        return sections
    return _brief(profile, _facts(profile, FactKind.OPENING_RETURNS, FactKind.PHRASES))


def _key_question(profile: PieceProfile) -> str:
    return words.ask_key(changes=any(_new_signatures(profile)))


def _new_signatures(profile: PieceProfile) -> tuple[int, ...]:
    """Measures in which most of the parts have a new key signature."""
    pitched = [part for part in profile.parts if part.keys]
    bars = sorted({each.measure for part in pitched for each in part.keys if each.measure})
    return tuple(
        at
        for at in bars
        if 2 * sum(any(each.measure == at for each in part.keys) for part in pitched) > len(pitched)
    )


def _key(profile: PieceProfile) -> str:
    home = _brief(profile, _facts(profile, FactKind.HOME_KEY))
    signatures = words.new_signatures(bar_names(profile), _new_signatures(profile))
    away = _facts(profile, FactKind.AWAY_FROM_HOME)[:1]
    return " ".join(each for each in (home, signatures, _brief(profile, away)) if each)


def _harmony(profile: PieceProfile) -> str:
    pedal = _facts(profile, FactKind.PEDAL_POINT)[:1]
    return _brief(profile, [*pedal, *_facts(profile, FactKind.CADENCE)[:1]])


def _accidentals(profile: PieceProfile, parts: Sequence[PartProfile]) -> str:
    """The parts with the most notes outside their signature, each with the first of these notes."""
    outside = {
        part.name: [use for use in part.accidentals if use.kind is AccidentalKind.FIRST] for part in parts
    }
    times = {name: sum(use.times for use in uses) for name, uses in outside.items() if uses}
    if not times:
        return words.NO_ACCIDENTALS if any(part.written_range for part in parts) else ""
    most = sorted(times, key=lambda name: -times[name])[:MOST_PARTS]
    first = {name: min(outside[name], key=lambda use: use.measure) for name in most}
    return words.accidentals(
        bar_names(profile), [(name, times[name], first[name].pitch, first[name].measure) for name in most]
    )


def _spots(
    profile: PieceProfile, parts: Sequence[PartProfile], places: Sequence[EnsemblePlace]
) -> str:
    if places:
        return words.see_places(bar_names(profile), [each.place for each in places])
    hardest = max(
        ((spot.weight, part.name, spot) for part in parts for spot in part.spots),
        key=lambda each: each[0],
        default=None,
    )
    return words.hardest(bar_names(profile), hardest[1], hardest[2].measure) if hardest else ""


def _patterns(profile: PieceProfile, parts: Sequence[PartProfile]) -> str:
    """What comes again for everyone, or the weightiest repeat, sequence, rhythm or ostinato of the parts."""
    own = [
        (fact, part.patterns[int(fact.number("pattern"))])
        for part in parts
        for fact in profile.facts_for(part.name)
        if fact.kind is FactKind.PATTERN
    ]
    found = [(fact, pattern) for fact, pattern in own if pattern.kind is not PatternKind.UNISON]
    heaviest = sorted(found, key=lambda each: -each[0].weight)
    together = _brief(profile, _facts(profile, FactKind.TUNE_RETURNS)[:1])
    if together or not heaviest:
        return together
    fact, pattern = heaviest[0]
    return words.pattern(fact.part, pattern, bar_names(profile))


def _dynamics(profile: PieceProfile, parts: Sequence[PartProfile]) -> str:
    """The softest and the loudest mark of all parts with their bars, where it is sudden, and fermatas."""
    numbers = bar_names(profile)
    bars: dict[str, set[int]] = {}
    for part in parts:
        for use in part.dynamics:
            if use.mark in LOUDNESS:
                bars.setdefault(use.mark, set()).add(use.measure)
    ends = [min(bars, key=LOUDNESS.__getitem__), max(bars, key=LOUDNESS.__getitem__)] if bars else []
    marks = [(mark, sorted(bars[mark])) for mark in dict.fromkeys(ends)]
    each = (
        words.dynamics(numbers, marks, MOST_BARS) if marks else "",
        words.sudden(numbers, _sudden(parts)),
        words.fermatas(numbers, fermatas_of(profile)),
    )
    return " ".join(sentence for sentence in each if sentence)


def _sudden(parts: Sequence[PartProfile]) -> list[int]:
    """The first bars in which more than one part has a sudden dynamic, or the only part has one."""
    found: dict[int, set[str]] = {}
    for part in parts:
        for use in part.dynamics:
            if use.sudden_from:
                found.setdefault(use.measure, set()).add(part.name)
    least = min(2, len(parts))
    return [at for at in sorted(found) if len(found[at]) >= least][:MOST_BARS]
