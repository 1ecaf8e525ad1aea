"""Meter, tempo and playing time against the bare page and its notes."""

import re
from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise

from planner.core.fact import Fact, FactKind
from planner.core.profile import PieceProfile
from planner.core.tempo_places import tempo_places
from tests.study.bare_score import BarePart, BareScore
from tests.study.fact_checks import Check, bare_part

COUNTERS: dict[str, tuple[str, int, set[Fraction], set[Fraction]]] = {
    "hemiola": ("3/4", 2, {Fraction(0), Fraction(2), Fraction(4)}, {Fraction(3)}),
    "6/8 as 3/4": ("6/8", 1, {Fraction(0), Fraction(1), Fraction(2)}, {Fraction(3, 2)}),
    "3/4 as 6/8": ("3/4", 1, {Fraction(0), Fraction(3, 2)}, {Fraction(1), Fraction(2)}),
    "3+3+2": ("4/4", 1, {Fraction(0), Fraction(3, 2), Fraction(3)}, {Fraction(2)}),
}
"""Signature, bars, and the quarters that are struck and are not struck. Source: common theory."""

UNITS: dict[str, Fraction] = {
    "whole": Fraction(4), "dotted half": Fraction(3), "half": Fraction(2), "dotted quarter": Fraction(3, 2),
    "quarter": Fraction(1), "dotted eighth": Fraction(3, 4), "eighth": Fraction(1, 2),
    "sixteenth": Fraction(1, 4),
}  # fmt: skip


def nominal(time: str) -> Fraction:
    """Length of a full bar in quarters."""
    beats, unit = time.split("/")
    return sum(map(Fraction, beats.split("+")), Fraction(0)) * Fraction(4, int(unit))


def meter(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool | None:
    page = bare.pages[0][0]
    if not page.time:
        return None
    is_cut = page.symbol == "cut" and page.time in ("2/2", "4/2", "4/4")  # common practice
    fits = profile.meters[0].time == page.time and ("cut" in fact.terms) == is_cut
    if fact.numbers:
        bar = int(fact.number("beats")) * Fraction(fact.number("quarters"))
        return fits and bar == nominal(page.time)
    grouping = profile.meters[0].grouping
    return fits and len(set(grouping)) != 1 and fills(page.time, grouping)


def fills(time: str, grouping: tuple[int, ...]) -> bool:
    """Whether a grouping in units of the lower number makes a full bar; an empty one is free time."""
    unit = int(time.rsplit("/", 1)[1])
    return not grouping or Fraction(4 * sum(grouping), unit) == nominal(time)


def pickup(bare: BareScore, _profile: PieceProfile, fact: Fact) -> bool:
    length = max(part.bars[0].length for part in bare.parts)
    time = bare.pages[0][0].time
    return abs(fact.number("quarters") - length) < 1e-9 and (not time or length < nominal(time))


def own_meter(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """In these bars the part's page has the signature, and at least as many pages have another one."""
    own = [part.name for part in profile.parts].index(fact.part)
    for (first, last), term in zip(fact.places, fact.terms, strict=True):
        for at in range(first, last + 1):
            times = [page[at].time for page in bare.pages]
            if times[own] != term or 2 * times.count(term) > len(times):
                return False
    return True


def meter_changes(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """The signature changes in these bars and no others; in the rest of them the grouping turns."""
    times = [bar.time for bar in bare.pages[0]]
    printed = {at for at in range(1, len(times)) if times[at] != times[at - 1]}
    spans = dict(zip([each.measure for each in profile.meters[1:]], profile.meters, strict=False))
    named = {place[0] for place in fact.places}
    return (
        named == set(spans)
        and printed <= named
        and all(span.time == times[span.measure] for span in profile.meters)
        and all(before.time == times[at] for at, before in spans.items() if at not in printed)
        and all(fills(span.time, span.grouping) for span in profile.meters)
    )


def against_meter(bare: BareScore, _profile: PieceProfile, fact: Fact) -> bool:
    """In each turn of the passage most parts that play strike its pulses and none of the signature's."""
    time, width, struck, silent = COUNTERS[fact.terms[0]]
    first, last = fact.places[0]
    for at in range(first, last + 1, width):
        figures = []
        for part in bare.parts:
            begin = part.bars[at].start
            figures.append({when - begin for when, _ in part.line(at, at + width - 1)})
        playing = [figure for figure in figures if figure]
        moving = [figure for figure in playing if struck <= figure and not silent & figure]
        if bare.pages[0][at].time != time or not moving or 2 * len(moving) < len(playing):
            return False
    return True


def metronomes(bare: BareScore, measure: int) -> list[tuple[Fraction, float]]:
    return [mark for page in bare.pages for mark in page[measure].metronomes]


def words(bare: BareScore, measure: int) -> str:
    return " ".join(text for page in bare.pages for text in page[measure].words)


def first_sounding(bare: BareScore) -> int:
    """First bar in which anything sounds, and the one after where that is a pickup."""
    bars = range(len(bare.numbers))
    first = next((at for at in bars if any(part.line(at, at) for part in bare.parts)), 0)
    return first + bare.pages[0][first].is_implicit


def tempo(bare: BareScore, profile: PieceProfile, _fact: Fact) -> bool:
    """What gives the opening's tempo stands where the music begins, and no number does where none is said."""
    found = profile.tempo_bpm
    opening = range(min(first_sounding(bare) + 1, len(bare.numbers)))
    numbers = [mark for at in opening for mark in metronomes(bare, at)]
    if found.source == "metronome":
        return found.marked is not None and any(
            abs(unit * Fraction(bpm) - UNITS[found.unit] * Fraction(found.marked)) < 0.05
            for unit, bpm in numbers
        )
    if found.source == "words" and not any(found.words in words(bare, at) for at in opening):
        return False
    return not numbers


def tempo_turns(bare: BareScore, profile: PieceProfile, _fact: Fact) -> bool:
    """Each turn has its words, notes or number on the page of its bar, and no slowing is left out."""
    places = {place.measure for place in tempo_places(profile)}
    return (
        bool(profile.tempo_turns)
        and _moved(bare) <= places
        and all(
            all(word in words(bare, turn.measure) for word in turn.words.split())
            and (not turn.note_now or _is_equation(bare, profile, at))
            and (
                turn.source != "metronome"
                or any(abs(bpm - turn.bpm) < 0.01 for _, bpm in metronomes(bare, turn.measure))
            )
            for at, turn in enumerate(profile.tempo_turns)
        )
    )


_MOVES = re.compile(
    r"\b(rit|ritard|ritardando|rall|rallentando|accel|accelerando|allarg|allargando|string|stringendo|a tempo"
    r"|pi[uù] mosso|meno mosso|tempo primo|langsamer|schneller|c[ée]dez|plus lent|plus vite)\b",
    re.IGNORECASE,
)
_DENIED = re.compile(r"\b(non|senza|sans|ohne|nicht|no|not|without|but)\b", re.IGNORECASE)


def _moved(bare: BareScore) -> set[int]:
    """The bars after the first in which well-known words ask for another speed. From memory."""
    return {
        at
        for page in bare.pages
        for at, bar in enumerate(page)
        if at and any(_MOVES.search(text) and not _DENIED.search(text) for text in bar.words)
    }


def _is_equation(bare: BareScore, profile: PieceProfile, at: int) -> bool:
    """Whether the page sets those two notes equal, and the new speed follows from the one before."""
    turn = profile.tempo_turns[at]
    now, before = UNITS[turn.note_now], UNITS[turn.note_before]
    printed = [pair for page in bare.pages for pair in page[turn.measure].equations]
    last = profile.tempo_turns[at - 1] if at else None
    old = last.bpm * float(UNITS[last.unit]) if last else profile.tempos[0].quarter_bpm
    is_faster = turn.bpm * float(UNITS[turn.unit]) > old
    return any({now, before} == set(pair) for pair in printed) and is_faster == (now > before)


def speeds(bare: BareScore, profile: PieceProfile, bpm: float) -> list[float]:
    """Quarters a minute of each bar, the piece beginning at ``bpm`` beats."""
    found = [bpm * float(UNITS[profile.tempo_bpm.unit])] * len(bare.numbers)
    for turn in profile.tempo_turns:
        speed = turn.bpm * float(UNITS[turn.unit])
        found[turn.measure :] = [speed] * (len(found) - turn.measure)
    return found


def bar_seconds(bare: BareScore, profile: PieceProfile, bpm: float) -> list[float]:
    lengths = [float(max(part.bars[at].length for part in bare.parts)) for at in range(len(bare.numbers))]
    return [length * 60 / speed for length, speed in zip(lengths, speeds(bare, profile, bpm), strict=True)]


def playing_time(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """As long as the bars played take; two in a hundred for changes too small to be a turn."""
    each = bar_seconds(bare, profile, fact.number("bpm"))
    whole = sum(each[measure] for measure in profile.roadmap.play_order)
    return abs(whole - fact.number("seconds")) <= 0.02 * whole + 0.1


BEST_READER = 4 / 0.7
"""Notes a second that the best readers take in. Source: Furneaux and Land (1999)."""


def sections(bare: BareScore, profile: PieceProfile) -> bool:
    """No section is first read faster than it goes, nor faster than the best readers read its bars."""
    ends = [*(span.measure for span in profile.tempos[1:]), len(bare.numbers)]
    at_speed: dict[tuple[float, float], list[int]] = {}
    for span, end in zip(profile.tempos, ends, strict=True):
        first = (span.first_reading or 0) * float(UNITS[span.unit])
        if not 0 < first <= span.quarter_bpm + 0.01:
            return False
        at_speed.setdefault((span.quarter_bpm, first), []).extend(range(span.measure, end))
    for (_, first), measures in at_speed.items():
        for part in bare.parts:
            bars = [at for at in measures if part.line(at, at)]
            rates = [reading_rate(part, at) * first / 60 for at in bars if part.bars[at].length]
            if sum(rate > BEST_READER + 0.01 for rate in rates) > 0.11 * len(rates) + 1:
                return False
    return True


def reading_rate(part: BarePart, at: int) -> float:
    """Notes a quarter to be read in a bar, one on the step of the note before as half of one."""
    line = [note for _, note in part.line(at, at)]
    again = sum((one.step, one.midi // 12) == (two.step, two.midi // 12) for one, two in pairwise(line))
    return (len(line) - again / 2) / float(part.bars[at].length)


def reading_tempo(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """Not above the marked tempo; the part named has bars as busy as that, and few busier ones."""
    found = profile.tempo_bpm
    marked = found.marked or float(found.high or found.reading)
    slow = (found.first_reading or found.reading) <= found.reading <= max(marked, 1)
    slow = slow and sections(bare, profile)
    if not fact.parts:
        return slow
    part = bare_part(bare, profile, fact.parts[0])
    bpm = next(f for f in profile.facts if f.kind is FactKind.PLAYING_TIME).number("bpm")
    seconds = bar_seconds(bare, profile, bpm)
    opening = [profile.tempos[0].unit, profile.tempos[0].quarter_bpm]
    spans = zip(profile.tempos, [*(span.measure for span in profile.tempos[1:]), len(part.bars)], strict=True)
    bars = [
        at for span, end in spans if [span.unit, span.quarter_bpm] == opening
        for at in range(span.measure, end)
    ]  # fmt: skip
    rates = sorted(
        len(part.line(at, at)) / seconds[at] * found.reading / bpm for at in bars if part.line(at, at)
    )
    rate = fact.number("notes_a_second")
    busier = sum(each > rate + 0.01 for each in rates)
    return slow and rate <= rates[-1] + 0.01 and busier <= 0.11 * len(rates) + 1


CHECKS: Mapping[FactKind, Check] = {
    FactKind.METER: meter,
    FactKind.PICKUP: pickup,
    FactKind.OWN_METER: own_meter,
    FactKind.METER_CHANGES: meter_changes,
    FactKind.AGAINST_METER: against_meter,
    FactKind.TEMPO: tempo,
    FactKind.TEMPO_TURNS: tempo_turns,
    FactKind.READING_TEMPO: reading_tempo,
    FactKind.PLAYING_TIME: playing_time,
}
