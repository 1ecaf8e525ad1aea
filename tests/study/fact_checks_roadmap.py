"""The roadmap and the minutes of a reading against the bare pages."""

from collections.abc import Mapping
from itertools import pairwise

from planner.core.fact import Fact, FactKind
from planner.core.profile import Landmark, LandmarkKind, PieceProfile
from tests.study.bare_page import PageBar
from tests.study.bare_score import BarePart, BareScore
from tests.study.fact_checks import Check, bare_part
from tests.study.fact_checks_time import UNITS

JUMP_WORDS = ("D.C.", "D.S.", "Da Capo", "Dal Segno", "Fine", "Coda")


def on_any_page(bare: BareScore, measure: int) -> list[PageBar]:
    return [page[measure] for page in bare.pages]


SIGNS = {
    "segno": ("segno", ()),
    "coda": ("coda", ("coda",)),
    "to-coda": ("tocoda", ("coda",)),
    "fine": ("fine", ("fine",)),
    "da-capo": ("dacapo", ("d.c", "d. c", "da capo", "dacapo")),
    "dal-segno": ("dalsegno", ("d.s", "d. s", "dal segno")),
}
"""For each sign its attribute or element, and the words that stand for it."""


def is_signed(bar: PageBar, kind: str) -> bool:
    """Whether a sign stands in a bar of a page, or words for it."""
    sign, spoken = SIGNS[kind]
    texts = [text.casefold() for text in bar.words]
    return sign in bar.jumps or any(word in text for word in spoken for text in texts)


def has_repeat(bare: BareScore, measure: int, direction: str) -> bool:
    return any(direction in bar.repeats for bar in on_any_page(bare, measure))


def has_jump(bare: BareScore, measure: int) -> bool:
    """Whether a jump, a Fine or a To Coda stands in a bar, as a sign or as words."""
    return any(
        {"dacapo", "dalsegno", "tocoda", "fine", "coda"} & set(bar.jumps)
        or any(jump.casefold() in text.casefold() for text in bar.words for jump in JUMP_WORDS)
        for bar in on_any_page(bare, measure)
    )


def begins_ending(bare: BareScore, measure: int) -> bool:
    return any(bar.endings for bar in on_any_page(bare, measure))


def counted(bare: BareScore, measures: tuple[int, ...]) -> int:
    return sum(not bare.pages[0][measure].is_implicit for measure in measures) or len(measures)


def played_straight(bare: BareScore, profile: PieceProfile, _fact: Fact) -> bool:
    order = tuple(range(len(bare.numbers)))
    return profile.roadmap.play_order == order and not any(has_repeat(bare, at, "backward") for at in order)


def roadmap(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """The bars add up, and where play leaves the page order the page says so."""
    order = profile.roadmap.play_order
    return (
        fact.number("written") == counted(bare, tuple(range(len(bare.numbers))))
        and fact.number("played") == counted(bare, order)
        and all(
            has_repeat(bare, at, "backward") or has_jump(bare, at) or begins_ending(bare, at + 1)
            for at, then in pairwise(order)
            if then != at + 1
        )
    )


def stands(bare: BareScore, profile: PieceProfile, at: int, part: int | None = None) -> bool:
    """Whether a mark of the roadmap stands on a page, or on that of one part."""
    mark = profile.roadmap.marks[at]
    bars = on_any_page(bare, mark.measure)
    for bar in bars if part is None else [bars[part]]:
        if mark.kind == "repeat-end" and "backward" in bar.repeats:
            return True
        if mark.kind == "repeat-start" and "forward" in bar.repeats:
            return True
        if mark.kind == "ending-start" and bar.endings:
            return True
        if mark.kind in SIGNS and is_signed(bar, mark.kind):
            return True
    return False


def roadmap_marks(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """Every mark named stands on a page, and every repeat bar that closes is named."""
    named = [int(at) for at in fact.each("mark")]
    closing = [at for at in range(len(bare.numbers)) if has_repeat(bare, at, "backward")]
    marks = [profile.roadmap.marks[at] for at in named]
    return all(stands(bare, profile, at) for at in named) and closing == [
        mark.measure for mark in marks if mark.kind == "repeat-end"
    ]


def marks_lacking(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    part = [each.name for each in profile.parts].index(fact.part)
    return not any(stands(bare, profile, int(at), part) for at in fact.each("mark"))


STEPS = ("study", "hearing", "first", "fixing", "second")


def first_seconds(bare: BareScore, profile: PieceProfile) -> list[float]:
    """Seconds of each bar at the tempo of the first reading of its section."""
    found = [0.0] * len(bare.numbers)
    for span in profile.tempos:
        speed = min((span.first_reading or 0) * float(UNITS[span.unit]), span.quarter_bpm)
        for at in range(span.measure, len(found)):
            found[at] = float(max(part.bars[at].length for part in bare.parts)) * 60 / speed
    return found


def minutes(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """The steps add up, and the two readings last as long as the bars played at their tempo."""
    reading = sum(first_seconds(bare, profile)[at] for at in profile.roadmap.play_order) / 60
    return (
        abs(fact.number("total") - sum(fact.number(step) for step in STEPS)) <= 0.051
        and abs(fact.number("first") - reading) < 0.01 + 0.005 * reading
        and abs(fact.number("second") - fact.number("first")) < 0.01
    )


def whole_fits(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    return minutes(bare, profile, fact) and fact.number("total") <= fact.number("limit")


def nothing_fits(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    return minutes(bare, profile, fact) and fact.number("total") > fact.number("limit")


def passage_fits(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """The piece does not fit, the passage does, and it is played straight through."""
    [(first, last)] = fact.places
    steps = set(pairwise(profile.roadmap.play_order))
    excerpt = next(each for each in profile.excerpts if (each.measure, each.end_measure) == (first, last))
    reading = sum(first_seconds(bare, profile)[first : last + 1]) / 60
    share = excerpt.minutes * 60 / profile.playing_seconds
    taken = fact.number("study") + fact.number("fixing") + share * fact.number("hearing") + 2 * reading
    return (
        nothing_fits(bare, profile, fact)
        and all((at, at + 1) in steps for at in range(first, last))
        and taken <= fact.number("limit") + 0.1
    )


def landmarks(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """Each shows on the page, and the part is silent from there to the bar in which it comes in."""
    part, own = bare_part(bare, profile, fact.part), profile.part(fact.part).landmarks
    return fact.places == tuple((each.measure, each.enters) for each in own) and all(
        is_shown(bare, part, each)
        and all(part.bars[at].is_silent for at in range(each.measure, each.enters))
        and not (part.bars[each.enters].is_silent and part.bars[each.enters + 1].is_silent)
        for each in own
    )


def is_shown(bare: BareScore, part: BarePart, landmark: Landmark) -> bool:
    """Whether what is said to show at a bar stands there."""
    at, here = landmark.measure, on_any_page(bare, landmark.measure)
    before, page = on_any_page(bare, at - 1), bare.pages[bare.parts.index(part)]
    words = [text for bar in here for text in (*bar.rehearsals, *bar.words)]
    match landmark.kind:
        case LandmarkKind.NAME | LandmarkKind.TEMPO:
            every = " ".join(words).casefold()
            return all(word in every for word in landmark.name.casefold().split())
        case LandmarkKind.NUMBER:
            return bare.numbers[at] in words
        case LandmarkKind.KEY:
            return part.bars[at].fifths != part.bars[at - 1].fifths
        case LandmarkKind.METER:
            return page[at].time != page[at - 1].time
        case LandmarkKind.REPEAT:
            return any("forward" in bar.repeats for bar in here) or any(
                "backward" in bar.repeats for bar in before
            )
        case LandmarkKind.DOUBLE_BAR:
            return any(bar.right_bar.startswith("light-") for bar in before)
    silent = 0
    while silent < at and part.bars[at - 1 - silent].is_silent:
        silent += 1
    return silent >= LONG_REST


LONG_REST = 4
"""Bars of rest whose end a player is sent to (the project's own choice)."""


CHECKS: Mapping[FactKind, Check] = {
    FactKind.PLAYED_STRAIGHT: played_straight,
    FactKind.ROADMAP: roadmap,
    FactKind.ROADMAP_MARKS: roadmap_marks,
    FactKind.LANDMARKS: landmarks,
    FactKind.MARKS_LACKING: marks_lacking,
    FactKind.WHOLE_FITS: whole_fits,
    FactKind.NOTHING_FITS: nothing_fits,
    FactKind.PASSAGE_FITS: passage_fits,
}
