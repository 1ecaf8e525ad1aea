"""The speed that the page asks for, from its beginning to its end."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from planner.core.profile import MeterSpan, TempoSource
from planner.core.score import Score
from planner.core.units import METRONOME_MARKS, marks_below, nearest_mark
from planner.study.notes.columns import Columns
from planner.study.time.speed_limits import densities_of, fastest_playable, quarters_of
from planner.study.time.tempo_changes import ChangeKind
from planner.study.time.tempo_signs import (
    FASTEST_QUARTER_BPM,
    SLOWEST_QUARTER_BPM,
    TempoSign,
    TextOfTempo,
    tempo_signs,
)
from planner.study.time.tempo_words import side_of

UNMARKED_RANGE = (80, 120)
"""Quarters a minute assumed where the page says nothing: moderate. House choice (the range of Moderato).

Longer beats go slower, as under a word (``BEAT_EXPONENT``): four hymns in 2/2, 3/2 and 6/4 that print no
number have one in another edition; it is within a fifth of what is so assumed, and 100 of their beats
would be half as fast again to nearly twice as fast.
"""

BEAT_EXPONENT = 0.6
"""How much slower a long beat goes under the same word: the range is multiplied by length ** -0.6.

Tables of tempo words count quarters; *Allegro* in 2/2 is 72 to 111 half notes, not 109 to 168. House choice,
between 0 (the word sets the beats) and 1 (it sets the notes), held to printed words with printed numbers.
"""

IN_ONE_QUANTILE, IN_ONE_NOTES = 0.75, 1.35
"""A quick 3/4 is felt in one where three quarters of the bars have no more notes a quarter. House choice,
held to scherzos that print a dotted half: they have one, waltz-like pieces in three have 1.6 and more."""

IN_ONE_EXPONENT = 0.4
"""The same exponent for such bars. House choice, held to scherzos that print a number."""

SHORT_BEAT_NOTES = 3
"""Notes a quarter from which words may count a beat shorter than the felt one. House choice."""
MOST_SHORT_BEATS, MOST_QUICK_SHORT_BEATS = 176.0, 208.0
"""Beats shorter than the felt one are not counted faster than this; the second under quick words. House
choice; the second is the metronome's end."""
FAR_BELOW = 0.2
"""Share that the densest bars may keep a word's slowest speed down before a shorter beat is taken for the
one that the word counts. House choice."""

PLAYED_OUTSIDE = 0.15
"""Share by which a playback tempo may leave the range of the words, which tables do not agree on, and what
the densest bars allow. House choice."""

USUAL_SHARE = 0.4
"""Where in its range a word's speed is taken, 0 at the slow end, 1 at the quick one. House choice, held to
printed words with printed numbers: in the middle the speeds come out a little too fast."""

HELD_MEASURES = 8
"""Measures from which a playback tempo without words is a tempo, no shaping. House choice."""
SHORT_MEASURES = 4
"""Measures below which a number without words in a passage that slows or quickens is part of it. House
choice."""
NEAR = 0.04
"""Share within which two speeds are the same. House choice, less than half a metronome mark's step."""

BEAT_NAMES: dict[Fraction, str] = {
    Fraction(4): "whole",
    Fraction(3): "dotted half",
    Fraction(2): "half",
    Fraction(3, 2): "dotted quarter",
    Fraction(1): "quarter",
    Fraction(3, 4): "dotted eighth",
    Fraction(1, 2): "eighth",
    Fraction(1, 4): "sixteenth",
}


@dataclass(frozen=True, slots=True)
class Speed:
    """A tempo with what stands behind it.

    Attributes:
        bpm: Beats a minute, marked or estimated.
        unit_quarters: Length of the beat, one of ``BEAT_NAMES``.
        low, high: What the marking allows.
        source: What gives it.
        words: Words on the page that give it.
        table_word: The word by which tables list those.
    """

    bpm: float
    unit_quarters: Fraction
    low: float
    high: float
    source: TempoSource
    words: str = ""
    table_word: str = ""

    @property
    def is_printed(self) -> bool:
        """Whether the page gives a number or a word."""
        return self.source in ("metronome", "words")

    @property
    def quarter_bpm(self) -> float:
        """Quarters a minute."""
        return self.bpm * float(self.unit_quarters)


UNKNOWN_SPEED = Speed(100.0, Fraction(1), *UNMARKED_RANGE, "assumed")
"""The speed of a score without measures: moderate."""


@dataclass(frozen=True, slots=True)
class SpeedSpan:
    """A speed from a place on; ``words`` are those that lead to it."""

    measure: int
    onset: Fraction
    speed: Speed
    words: str = ""


def felt_beats(score: Score, meters: Sequence[MeterSpan]) -> list[Fraction]:
    """For each measure, the beat in quarters that a tempo word counts.

    Dotted in compound meters; a quarter in irregular meters and in 3/8, whose eighths are too short to count.
    """
    beats: list[Fraction] = []
    at = -1
    for measure in score.measures:
        while at + 1 < len(meters) and meters[at + 1].measure <= measure.index:
            at += 1
        groups = meters[at].grouping if at >= 0 else ()
        unit = Fraction(4, measure.time.unit)
        if len(groups) > 1 and set(groups) == {3} and unit * 3 in BEAT_NAMES:
            beats.append(unit * 3)
        elif unit in BEAT_NAMES and not (groups and unit < 1 and set(groups) != {1}):
            beats.append(unit)
        else:
            beats.append(Fraction(1))
    return beats


def find_speeds(columns: Columns, meters: Sequence[MeterSpan]) -> list[SpeedSpan]:
    """The speeds of a piece, the opening's first; empty without measures.

    Example:
        >>> from planner.study.notes.columns import columns_of
        >>> find_speeds(columns_of(Score("Empty", (), ())), ())
        []
    """
    if not columns.score.measures:
        return []
    return _Course(columns, felt_beats(columns.score, meters)).run()


class _Course:
    """Walks through the signs of a piece and keeps the speed in force and those it may go back to."""

    def __init__(self, columns: Columns, beats: Sequence[Fraction]) -> None:
        self._columns = columns
        self._beats = beats
        self._quarters = quarters_of(columns)
        self._densities = densities_of(columns)
        self._signs = tempo_signs(columns.score)
        self._spans: list[SpeedSpan] = []
        self._loose = False
        self._before: Speed | None = None
        self._played: float | None = None

    def run(self) -> list[SpeedSpan]:
        opening = self._opening()
        at = self._signs.index(opening) if opening is not None else -1
        self._played = opening.played if opening is not None else None
        speed = (self._own_speed(opening, at, is_opening=True) if opening else None) or self._assumed()
        self._spans = [SpeedSpan(0, Fraction(0), speed, opening.words if opening else "")]
        for index, sign in enumerate(self._signs):
            if index == at or (index < at and sign.measure <= self._first_sounding):
                continue
            self._take(sign, index)
        return self._spans

    @property
    def _steady(self) -> Speed:
        return self._spans[-1].speed

    @property
    def _first_sounding(self) -> int:
        """First measure in which a note begins, one further where the first is a pickup."""
        first = min((int(part.measure[0]) for part in self._columns.parts if len(part)), default=0)
        measures = self._columns.score.measures
        return first + 1 if measures[first].implicit and first + 1 < len(measures) else first

    def _opening(self) -> TempoSign | None:
        """The sign that sets the first speed: a number, else a tempo word, a mood, playback."""
        near = [sign for sign in self._signs if sign.measure <= self._first_sounding]
        for is_it in (
            lambda sign: sign.has_number and sign.onset == 0,
            lambda sign: sign.worded is not None and not sign.worded.speed.is_mood,
            lambda sign: sign.has_number,
            lambda sign: sign.worded is not None,
            lambda sign: sign.played is not None,
        ):
            for sign in near:
                if is_it(sign):
                    return sign
        return None

    def _assumed(self) -> Speed:
        beat = self._beats[0]
        low, high = ranges_for_beat(*UNMARKED_RANGE, beat)[0]
        limit = self._limit(0, self._next_speed(-1)) / float(beat)
        bpm = min(float(nearest_mark((low + high) / 2)), _mark_at_most(limit))
        return self._countable(Speed(bpm, beat, low, high, "assumed"), 0)

    def _countable(self, speed: Speed, measure: int) -> Speed:
        """The same speed in a beat that fills the bar, where the page names none.

        In 3/8 that is the eighth, or the whole bar where the eighths are too quick to count.
        """
        time = self._columns.score.measures[measure].time
        short, bar = Fraction(4, time.unit), time.length_quarters
        if not bar % speed.unit_quarters or bar not in BEAT_NAMES:
            return speed
        unit = short if speed.quarter_bpm / float(short) <= MOST_SHORT_BEATS else bar
        share = float(speed.unit_quarters / unit)
        bpm, low, high = (round(each * share, 2) for each in (speed.bpm, speed.low, speed.high))
        return replace(speed, bpm=bpm, unit_quarters=unit, low=low, high=high)

    def _own_speed(self, sign: TempoSign, index: int, *, is_opening: bool = False) -> Speed | None:
        """The speed that a sign gives by itself; None when it gives none."""
        beat = self._beats[sign.measure]
        if sign.bpm is not None and sign.unit is not None:
            unit = sign.unit if sign.unit in BEAT_NAMES else beat
            low = round(sign.bpm * float(sign.unit / unit), 2)
            high = round((sign.bpm_high or sign.bpm) * float(sign.unit / unit), 2)
            return Speed(low, unit, low, high, "metronome", sign.words)
        limit = self._limit(sign.measure, self._next_speed(index))
        if sign.worded is not None and (is_opening or self._counts(sign, index)):
            stop = max(self._next_speed(index), sign.measure + 1)
            return self._speed_of_words(sign.worded, sign.played, slice(sign.measure, stop))
        if sign.played is not None and (is_opening or self._is_section(sign, index)):
            bpm = round(min(sign.played / float(beat), max(limit / float(beat), 1.0)), 2)
            return self._countable(Speed(bpm, beat, bpm, bpm, "playback", sign.heading), sign.measure)
        return None

    def _speed_of_words(self, text: TextOfTempo, played: float | None, where: slice) -> Speed | None:
        """A speed inside what the words allow: as played, else in the middle as far as the notes let it."""
        word = text.speed
        if word is None:
            return None
        limit = fastest_playable(self._densities, self._quarters, where)
        is_fast = side_of(word.low, word.high) > 0
        time = str(self._columns.score.measures[where.start].time)
        units = beats_for_words(self._beats[where.start])
        if (
            max((density.busy(self._quarters, where)[1] for density in self._densities), default=0)
            < SHORT_BEAT_NOTES
        ):
            units = units[:1]
        if time == "3/8":
            units = [Fraction(3, 2), Fraction(1, 2)] if is_fast else [Fraction(1, 2)]
        allowed = [(unit, *each) for unit in units for each in ranges_for_beat(word.low, word.high, unit)]
        if time == "3/4" and is_fast and self._moves_in_one(where):
            in_one = ranges_for_beat(word.low, word.high, Fraction(3), IN_ONE_EXPONENT)
            allowed.insert(0, (Fraction(3), *in_one[0]))
        if played is not None and played <= limit * (1 + PLAYED_OUTSIDE):
            found = fitting_beat(allowed, played, units[0], strictly_first=not is_fast)
            if found is not None:
                unit, low, high = found
                bpm = round(played / float(unit), 2)
                low, high = min(low, float(math.floor(bpm))), max(high, float(math.ceil(bpm)))
                return Speed(bpm, unit, low, high, "words", text.text, word.word)
        fitting = [each for each in allowed if each[1] * float(each[0]) * (1 - FAR_BELOW) <= limit]
        unit, low, high = (fitting or allowed[-1:])[0]
        middle = low ** (1 - USUAL_SHARE) * high**USUAL_SHARE
        bpm = min(float(nearest_mark(middle)), _mark_at_most(limit / float(unit)))
        return Speed(bpm, unit, min(low, bpm), high, "words", text.text, word.word)

    def _moves_in_one(self, where: slice) -> bool:
        """Whether the bars of a passage hold hardly more than a note a quarter in any part."""
        rates = [density.busy(self._quarters, where, IN_ONE_QUANTILE)[1] for density in self._densities]
        return 0 < max(rates, default=0.0) <= IN_ONE_NOTES

    def _counts(self, sign: TempoSign, index: int) -> bool:
        """Whether words in the course of a piece set a tempo; words of mood only where a section begins."""
        word = sign.worded
        if word is None or word.speed is None:
            return False
        if sign.change is not None and sign.change.kind is not ChangeKind.LOOSE:
            return False
        return not word.speed.is_mood or self._is_section(sign, index)

    def _is_section(self, sign: TempoSign, index: int) -> bool:
        """Whether a playback tempo stands at a new section: a heading or a double bar, held for long."""
        if sign.played is None or (sign.change is not None and sign.change.kind is ChangeKind.LOOSE):
            return False
        measures = self._columns.score.measures
        before = measures[sign.measure - 1] if sign.measure else None
        begins = sign.onset == 0 and (
            bool(sign.heading)
            or before is None
            or before.right_bar not in ("", "regular", "none", "dashed", "dotted")
            or measures[sign.measure].time_changes
        )
        moved = abs(sign.played / self._steady.quarter_bpm - 1) > 0.1
        return begins and moved and self._next_speed(index) - sign.measure >= HELD_MEASURES

    def _next_speed(self, index: int) -> int:
        """The measure in which a later sign sets another speed or brings one back."""
        here = self._signs[index].measure if index >= 0 else 0
        for sign in self._signs[index + 1 :]:
            word = sign.worded
            is_change = sign.change is not None and sign.change.kind is not ChangeKind.LOOSE
            is_word = word is not None and word.speed is not None and not word.speed.is_mood
            sets = sign.has_number or sign.played or is_change or is_word
            if sets and sign.measure > here:
                return sign.measure
        return len(self._columns.score.measures)

    def _limit(self, start: int, stop: int) -> float:
        """Quarters a minute that the densest bars of a passage let the instruments play."""
        return fastest_playable(self._densities, self._quarters, slice(start, max(stop, start + 1)))

    def _is_again(self, sign: TempoSign) -> bool:
        """Whether a sign says in another part, up to a bar later, what one has just said.

        The same words; a comparison the same way; or *a tempo* after a tempo that nothing has loosened.
        """
        last, change = self._spans[-1], sign.change
        if sign.has_number or self._loose or sign.measure - last.measure > 1 or len(self._spans) < 2:
            return False
        if any(each.text.casefold() == last.words.casefold() for each in sign.texts):
            return True
        if change is None:
            return False
        if change.kind is ChangeKind.BACK:
            return last.speed.source == "metronome" or change.share != 1.0
        is_compared = last.speed.source == "words" and not last.speed.table_word
        way = last.speed.quarter_bpm > self._spans[-2].speed.quarter_bpm
        return change.kind is ChangeKind.SHARE and is_compared and (change.share > 1) == way

    def _take(self, sign: TempoSign, index: int) -> None:
        """One sign in the course of the piece."""
        if self._is_again(sign):
            return
        change = sign.change
        if sign.has_number:
            if self._is_shaping(sign, index):
                self._loose = True
            elif self._loose and _is_bare(sign) and (known := self._known_speed(sign)):
                self._go(sign, known)
            else:
                self._go(sign, self._own_speed(sign, index))
            return
        if sign.equal is not None and sign.unit is not None:
            self._go(sign, self._equal_speed(sign, sign.unit, sign.equal))
            return
        own = self._own_speed(sign, index)
        if own is not None and (change is None or change.kind is ChangeKind.LOOSE):
            self._go(sign, own)
            self._loose = change is not None
        elif change is not None:
            self._change(sign, index)
        elif sign.worded is not None:
            self._loose = True

    def _change(self, sign: TempoSign, index: int) -> None:
        change = sign.change
        assert change is not None
        beat = self._beats[sign.measure]
        if change.kind is ChangeKind.LOOSE:
            self._loose = True
            return
        if change.kind is ChangeKind.SHARE:
            self._go(sign, self._shared(self._steady, change.share, sign, index))
            return
        target = {
            ChangeKind.FIRST: self._spans[0].speed,
            ChangeKind.SECOND: self._second(),
            ChangeKind.SAME: _same_beat(self._steady, beat),
        }.get(change.kind) or self._back(sign)
        if change.kind is not ChangeKind.SAME:
            target = self._as_played(target, sign)
        before = None
        if change.share != 1.0:
            before, target = target, self._shared(target, change.share, sign, index)
        self._go(sign, target)
        self._before, self._loose = before, change.is_loose_after

    def _back(self, sign: TempoSign) -> Speed:
        """The speed that *a tempo* brings back: the one in force, if that has been loosened since."""
        last = self._spans[-1]
        if self._loose or self._before is None:
            return last.speed
        is_compared = last.speed.source == "words" and not last.speed.table_word
        is_short = sign.measure - last.measure <= HELD_MEASURES
        return self._before if is_compared or is_short else last.speed

    def _as_played(self, target: Speed, sign: TempoSign) -> Speed:
        """A speed brought back; among those the piece has had, a playback number tells which."""
        if sign.played is None or _near(target.quarter_bpm, sign.played):
            return target
        known = [self._before, *(span.speed for span in reversed(self._spans))]
        return next((each for each in known if each and _near(each.quarter_bpm, sign.played)), target)

    def _known_speed(self, sign: TempoSign) -> Speed | None:
        """The speed that a number without words brings back after a slowing: the steady or the first one."""
        if sign.bpm is None or sign.unit is None:
            return None
        bpm = sign.bpm * float(sign.unit)
        if _near(self._steady.quarter_bpm, bpm):
            return self._steady
        is_first = self._played is not None and _near(self._played, bpm)
        return self._spans[0].speed if is_first else None

    def _second(self) -> Speed | None:
        first = self._spans[0].speed
        later = (span.speed for span in self._spans if not _near(span.speed.quarter_bpm, first.quarter_bpm))
        return next(later, None)

    def _shared(self, speed: Speed, share: float, sign: TempoSign, index: int) -> Speed:
        """A speed multiplied by a share; a playback number on the same side of the old one may decide."""
        old = speed.quarter_bpm
        new = old * share
        if sign.played is not None and (sign.played - old) * (share - 1) > 0:
            new = sign.played
        limit = max(self._limit(sign.measure, self._next_speed(index)), 1.0)
        new = min(max(new, SLOWEST_QUARTER_BPM), FASTEST_QUARTER_BPM)
        if share > 1:
            new = min(new, max(limit, min(old, limit)))
        beat = self._beats[sign.measure]
        bpm = round(new / float(beat), 2)
        return self._countable(Speed(bpm, beat, bpm, bpm, "words", sign.words), sign.measure)

    def _equal_speed(self, sign: TempoSign, unit: Fraction, equal: Fraction) -> Speed:
        """The speed after a mark that sets two notes equal: the first note is the one before.

        Where playback or the word "previous" says so, the first is the new one. Source: common practice, from
        memory: engraving manuals have the note of the music before stand first.
        """
        old = self._steady.quarter_bpm
        forward, backward = old * float(equal / unit), old * float(unit / equal)
        text = sign.heading.casefold()
        is_backward = any(word in text for word in ("prec", "préc", "previous", "vorher", "d'avant"))
        if sign.played is not None and _near(backward, sign.played) and not _near(forward, sign.played):
            is_backward = True
        new = min(max(backward if is_backward else forward, SLOWEST_QUARTER_BPM), FASTEST_QUARTER_BPM)
        beat = self._beats[sign.measure]
        bpm = round(new / float(beat), 2)
        words = sign.words or f"{BEAT_NAMES.get(unit, unit)} = {BEAT_NAMES.get(equal, equal)}"
        return Speed(bpm, beat, bpm, bpm, "words", words)

    def _is_shaping(self, sign: TempoSign, index: int) -> bool:
        """Whether a printed number is a step of a slowing or quickening, not a tempo."""
        if not _is_bare(sign):
            return False
        after = self._signs[index + 1] if index + 1 < len(self._signs) else None
        if after is not None and after.has_number and after.measure == sign.measure:
            return True
        if self._next_speed(index) - sign.measure >= SHORT_MEASURES:
            return False
        return self._loose or sign.change is not None or self._is_step(index)

    def _is_step(self, index: int) -> bool:
        """Whether a number without words is one of several that go the same way, a bar or two each."""
        sign = self._signs[index]
        numbers = [self._steady.quarter_bpm]
        last = sign.measure
        for each in self._signs[index:]:
            if each.unit is None or each.bpm is None or not _is_bare(each):
                break
            if each.measure - last > 2:
                break
            numbers.append(each.bpm * float(each.unit))
            last = each.measure
        if len(numbers) < 3:
            return False
        steps = [after - before for before, after in pairwise(numbers[:3])]
        return all(step > 0 for step in steps) or all(step < 0 for step in steps)

    def _go(self, sign: TempoSign, speed: Speed | None) -> None:
        """Take up a speed from a place on."""
        self._loose = False
        if speed is None:
            return
        steady = self._steady
        self._before = steady
        is_same_speed = abs(speed.quarter_bpm / steady.quarter_bpm - 1) <= 0.001
        if is_same_speed and speed.unit_quarters == steady.unit_quarters:
            return
        words = speed.words if sign.equal is not None else sign.words
        self._spans.append(SpeedSpan(sign.measure, sign.onset, speed, words))


def ranges_for_beat(
    low: float, high: float, unit: Fraction, exponent: float = BEAT_EXPONENT
) -> list[tuple[float, float]]:
    """Beats a minute that a word allows a beat of some length, from what it allows a quarter.

    A beat shorter than a quarter may go at the speed of the tables as well.

    Example:
        >>> ranges_for_beat(109, 168, Fraction(2)), ranges_for_beat(60, 108, Fraction(1, 2))
        ([(72.0, 111.0)], [(60.0, 108.0), (91.0, 164.0)])
    """
    factor = float(unit) ** -exponent
    scaled = (float(round(low * factor)), float(round(high * factor)))
    return [(float(low), float(high)), scaled] if unit < 1 else [scaled]


def fitting_beat(
    allowed: Sequence[tuple[Fraction, float, float]], played: float, felt: Fraction, *, strictly_first: bool
) -> tuple[Fraction, float, float] | None:
    """The beat whose range holds a playback tempo, or nearly; None when none does.

    Args:
        allowed: Beats with the lowest and highest number that the words allow, in order of preference.
        played: Quarters a minute.
        felt: The beat that is felt.
        strictly_first: Whether a shorter beat that fits goes before a longer one that nearly fits.
    """
    tries = (0.0, PLAYED_OUTSIDE) if strictly_first else (PLAYED_OUTSIDE,)
    most_short = MOST_SHORT_BEATS if strictly_first else MOST_QUICK_SHORT_BEATS
    for outside in tries:
        for unit, low, high in allowed:
            bpm = played / float(unit)
            is_countable = unit >= felt or bpm <= most_short
            if is_countable and low * (1 - outside) <= bpm <= high * (1 + outside):
                return unit, low, high
    return None


def beats_for_words(beat: Fraction) -> list[Fraction]:
    """The beats that tempo words may count where a beat is felt: that one, then the next shorter."""
    smaller = beat / 3 if beat.numerator % 3 == 0 else beat / 2
    return [each for each in (beat, smaller) if each in BEAT_NAMES and each >= Fraction(1, 4)]


def _mark_at_most(bpm: float) -> float:
    """The metronome mark not above a limit; the limit itself below the slowest."""
    return float(marks_below(bpm, 0)) if bpm >= METRONOME_MARKS[0] else max(1.0, float(math.floor(bpm)))


def _is_bare(sign: TempoSign) -> bool:
    """Whether a place has no words but those that loosen the tempo."""
    is_loose = sign.change is not None and sign.change.kind is ChangeKind.LOOSE
    return sign.worded is None and (is_loose or sign.change is None)


def _same_beat(speed: Speed, beat: Fraction) -> Speed:
    """A speed whose beats go on while their length changes."""
    return replace(speed, unit_quarters=beat) if beat != speed.unit_quarters else speed


def _near(one: float, other: float) -> bool:
    return abs(one / other - 1) <= NEAR
