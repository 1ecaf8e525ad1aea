"""Sections, phrases and patterns against the bare notes."""

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from typing import Any

from planner.core.fact import Fact, FactKind, Place
from planner.core.profile import FormSection, Pattern, PatternKind, Phrase, PieceProfile
from tests.study.bare_score import BarePart, BareScore
from tests.study.fact_checks import bare_part

Head = tuple[Fraction, str, int, int, Fraction, bool]
"""A head on the page: time from the beginning of the passage, spelling, length, whether it is struck."""


def content(part: BarePart, place: Place) -> tuple[list[Head], list[tuple[Fraction, int, str]]]:
    """What a player reads in some bars: every head of every voice, tied ones too, and the grace notes."""
    begin = part.bars[place[0]].start
    heads, graces = list[Head](), list[tuple[Fraction, int, str]]()
    for bar in part.bars[place[0] : place[1] + 1]:
        at = bar.start - begin
        heads += [
            (at + n.onset, n.step, n.alter, n.octave, n.duration, n in bar.struck) for n in bar.sounding
        ]
        graces += [(at + n.onset, order, f"{n.name}{n.octave}") for order, n in enumerate(bar.graces)]
    return sorted(heads), graces


def read_at(
    part: BarePart, place: Place
) -> list[tuple[frozenset[tuple[str, int, Fraction]], tuple[str, ...]]]:
    """Moment by moment what is struck in some bars, spelled and with its length, and the grace notes."""
    moments = []
    for bar in part.bars[place[0] : place[1] + 1]:
        for onset in sorted({note.onset for note in bar.struck}):
            struck = frozenset((n.name, n.octave, n.duration) for n in bar.struck if n.onset == onset)
            graces = tuple(f"{n.name}{n.octave}" for n in bar.graces if n.onset == onset)
            moments.append((struck, graces))
    return moments


def covers_the_score(bare: BareScore, spans: tuple[FormSection, ...] | tuple[Phrase, ...]) -> bool:
    """Whether stretches follow one another from the first bar to the last."""
    return (
        spans[0].measure == 0
        and spans[-1].end_measure == len(bare.numbers) - 1
        and all(two.measure == one.end_measure + 1 for one, two in pairwise(spans))
    )


def sections(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    return covers_the_score(bare, profile.form) and 1 < fact.number("shown") <= len(profile.form)


def full_bars(bare: BareScore) -> list[bool]:
    """For each measure whether it counts: an upbeat and the second half of a split bar do not."""
    return [_counts(bare, at) for at in range(len(bare.numbers))]


def phrases(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    counted = full_bars(bare)
    lengths = [sum(counted[phrase.measure : phrase.end_measure + 1]) for phrase in profile.phrases]
    return (
        covers_the_score(bare, profile.phrases)
        and list(fact.each("length")) == lengths
        and fact.number("phrases") == len(lengths)
        and fact.number("alike") == lengths.count(int(fact.number("usual")))
        and fact.number("alike") == max(lengths.count(length) for length in lengths)
    )


def _counts(bare: BareScore, at: int) -> bool:
    page, length = bare.pages[0][at], _length(bare, at)
    beats, _, unit = page.time.partition("/")
    full = Fraction(4 * sum(map(int, beats.split("+"))), int(unit)) if unit else length
    if page.is_implicit or 2 * length < full or (at == 0 and length < full):
        return False
    completes = length < full and _length(bare, at - 1) + length == full
    return not (completes and _counts(bare, at - 1))


def _length(bare: BareScore, at: int) -> Fraction:
    return max(part.bars[at].length for part in bare.parts)


def opening_returns(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """In one part at least, what it plays from its first full bar on is what it plays again."""
    first, last = fact.places[0]
    counted = full_bars(bare)
    for part in bare.parts:
        sounding = [at for at, counts in enumerate(counted) if counts and melody(part, (at, at))]
        for begin in sounding[:1]:
            opening = melody(part, (begin, begin + last - first))
            if all(melody(part, place) == opening for place in fact.places):
                return True
    return False


def melody(part: BarePart, place: Place) -> list[tuple[Fraction, int]]:
    """Highest struck notes of some bars: time from their beginning, and pitch."""
    begin = part.bars[place[0]].start
    return [(at - begin, note.midi) for at, note in part.line(*place)]


def pattern(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    found = profile.part(fact.part).patterns[int(fact.number("pattern"))]
    return found.places[0] == fact.places[0] and is_true_pattern(bare, profile, fact.part, found)


def is_true_pattern(bare: BareScore, profile: PieceProfile, name: str, found: Pattern) -> bool:
    """Whether the notes of a part show a pattern."""
    part = bare_part(bare, profile, name)
    if found.kind is PatternKind.UNISON:
        return _doubling(part, [bare_part(bare, profile, other) for other in found.with_parts], found)
    if found.kind is PatternKind.RHYTHM:
        return _rhythm(staff_of(part, found), found)
    if found.kind is PatternKind.OSTINATO:
        moments = read_at(staff_of(part, found), found.places[0])
        return len(moments) == found.notes * found.times and moments == moments[: found.notes] * found.times
    if found.kind is PatternKind.SEQUENCE:
        return _sequence(staff_of(part, found), found)
    if found.steps:
        return _shape(staff_of(part, found), found)
    return _repeat(part, found)


def staff_of(part: BarePart, found: Pattern) -> BarePart:
    """The staff that a pattern is seen on; the whole part where it names none."""
    return part.staff(found.staff) if found.staff else part


def _repeat(part: BarePart, found: Pattern) -> bool:
    if found.fills_bars:
        own = content(part, found.places[0])
        return bool(own) and all(content(part, place) == own for place in found.places[1:])
    options = []
    for place in found.places:
        line = read_at(part, place)
        ends = range(len(line) - found.notes + 1)
        options.append({_without_last_length(line[at : at + found.notes]) for at in ends})
    return bool(set.intersection(*options))


def _without_last_length(line: list[Any]) -> tuple[Any, ...]:
    """Some moments, the last one without its lengths: a repeat may end on a longer note."""
    *before, (struck, graces) = line
    return (*before, (frozenset(head[:2] for head in struck), graces))


def _shape(part: BarePart, found: Pattern) -> bool:
    own = _windows(part, found.places[0], found.notes)
    return len(found.steps) == len(found.places) - 1 and all(
        any(_is_moved(one, two, step) for one in own for two in _windows(part, place, found.notes))
        for step, place in zip(found.steps, found.places[1:], strict=True)
    )


def _windows(part: BarePart, place: Place, notes: int) -> list[list[tuple[Fraction, int]]]:
    """Every stretch of so many notes inside some bars: times, and places on the staff."""
    line = [(at, note.diatonic) for at, note in part.line(*place)]
    return [line[at : at + notes] for at in range(len(line) - notes + 1)]


def _is_moved(one: list[tuple[Fraction, int]], two: list[tuple[Fraction, int]], step: int) -> bool:
    return all(
        b - two[0][0] == a - one[0][0] and q - p == step for (a, p), (b, q) in zip(one, two, strict=True)
    )


def _doubling(part: BarePart, others: list[BarePart], found: Pattern) -> bool:
    """Whether every bar is the same in both, chords, ties and grace notes included, so many octaves apart."""
    bars = [bar for first, last in found.places for bar in range(first, last + 1)]
    own = [bar_sound(part, bar) for bar in bars]
    if not any(own) or not others or part in others:
        return False
    if any([bar_sound(other, bar) for bar in bars] != own for other in others):
        return False
    distances = [_octaves_above(part, other, bars) for other in others]
    if not found.octaves:
        return any(len(each) > 1 for each in distances)
    return [{octaves} for octaves in found.octaves] == distances


BarSound = tuple[list[tuple[Fraction, int]], list[tuple[int, Fraction, Fraction]], list[tuple[Fraction, int]]]


def bar_sound(part: BarePart, at: int) -> BarSound | None:
    """A bar in pitch classes: what is struck, from when to when each sounds, grace notes; None if empty."""
    bar, shift = part.bars[at], part.semitones[at]
    sounds: list[tuple[int, Fraction, Fraction]] = []
    for note in sorted(bar.sounding, key=lambda note: (note.midi, note.onset)):
        pitch, end = note.midi + shift, note.onset + note.duration
        if sounds and sounds[-1][0] == pitch and sounds[-1][2] == note.onset and note not in bar.struck:
            sounds[-1] = (pitch, sounds[-1][1], end)
        else:
            sounds.append((pitch, note.onset, end))
    if not sounds and not bar.graces:
        return None
    return (
        sorted((note.onset, (note.midi + shift) % 12) for note in bar.struck),
        sorted((pitch % 12, begin, end) for pitch, begin, end in sounds),
        [(note.onset, (note.midi + shift) % 12) for note in bar.graces],
    )


def _octaves_above(part: BarePart, other: BarePart, bars: list[int]) -> set[Fraction]:
    """Every distance in octaves at which a part plays above another one, note for note from the lowest."""
    found = set()
    for at in bars:
        own, theirs = (
            sorted((note.onset, note.midi + each.semitones[at]) for note in each.bars[at].sounding)
            for each in (part, other)
        )
        found |= {Fraction(one[1] - two[1], 12) for one, two in zip(own, theirs, strict=True)}
    return found


def _rhythm(part: BarePart, found: Pattern) -> bool:
    figures = {
        tuple((at - part.bars[bar].start, part.length_of(bar, note)) for at, note in part.line(bar, bar))
        for first, last in found.places
        for bar in range(first, last + 1)
    }
    return [len(figure) for figure in figures] == [found.notes]


def _sequence(part: BarePart, found: Pattern) -> bool:
    line = [note.diatonic for _, note in part.line(*found.places[0])]
    period, times = found.notes, found.times
    for begin in range(len(line) - times * period + 1):
        legs = [line[begin + leg * period : begin + (leg + 1) * period] for leg in range(times)]
        moves = {b - a for one, two in pairwise(legs) for a, b in zip(one, two, strict=True)}
        if moves == set(found.steps):
            return True
    return False


def in_patterns(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """The share lies between that of the largest pattern and that of all bars which patterns touch."""
    part = bare_part(bare, profile, fact.part)
    kinds = (PatternKind.REPEAT, PatternKind.SEQUENCE, PatternKind.OSTINATO)
    found = [each for each in profile.part(fact.part).patterns if each.kind in kinds]
    bars = {bar for each in found for first, last in each.places for bar in range(first, last + 1)}
    touched = sum(len(part.line(bar, bar)) for bar in bars) / len(part.line(0, len(part.bars)))
    return max(each.covers for each in found) - 0.01 <= fact.number("share") <= touched + 0.01


CHECKS = {
    FactKind.SECTIONS: sections,
    FactKind.PHRASES: phrases,
    FactKind.OPENING_RETURNS: opening_returns,
    FactKind.PATTERN: pattern,
    FactKind.IN_PATTERNS: in_patterns,
}
"""For each kind of fact about form and patterns its check."""


def every_pattern(bare: BareScore, profile: PieceProfile) -> Iterator[tuple[str, Pattern, bool]]:
    """Every pattern that the profile keeps, whether it became a fact or not, with its verdict."""
    for part in profile.parts:
        for found in part.patterns:
            yield part.name, found, is_true_pattern(bare, profile, part.name, found)
