"""What the tempo marks on the page say, measure by measure."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from planner.core.profile import MeterSpan, TempoSource, TempoTurn
from planner.core.score import Score, TempoMark
from planner.core.units import nearest_mark
from planner.study.time.tempo_words import tempo_word

UNMARKED_RANGE = (80.0, 120.0)
"""Beats a minute assumed where the page says nothing: moderate. House choice (the range of Moderato)."""

SLOWEST_QUARTER_BPM, FASTEST_QUARTER_BPM = 10.0, 800.0
"""Marks outside these are misprints. House choice."""

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

RELATIVE: tuple[tuple[str, float], ...] = (
    (r"doppio movimento|double[- ]time|twice as fast", 2.0),
    (r"half[- ]time|half as fast", 0.5),
    (
        r"un peu anim\w*|un peu plus vite|(?:un )?poco più (?:mosso|vivo)|etwas (?:bewegter|schneller)",
        1.1,
    ),
    (r"un peu (?:retenu|moins vite)|(?:un )?poco meno (?:mosso|vivo)|etwas langsamer", 0.9),
    (r"più mosso|piu mosso|faster|schneller|plus vite|più vivo|più allegro", 1.2),
    (r"meno mosso|slower|langsamer|moins vite|più lento|più largo", 0.8),
)
"""Words that change the tempo by a share. Source: house choice, but for the double and the half."""

_BACK = re.compile(
    r"\ba tempo\b|\bau mouv|\bim (?:alten )?tempo\b|\bin time\b|\bl'istesso tempo\b|^\W*tempo\W*$",
    re.IGNORECASE,
)
_FIRST = re.compile(r"\btempo (?:primo|i\b|1|io\b|i\.)|\berstes (?:zeitma|tempo)|\b1er mouv", re.IGNORECASE)
_RELATIVE = tuple((re.compile(rf"\b(?:{words})\b", re.IGNORECASE), share) for words, share in RELATIVE)


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


def opening_speed(score: Score, beats: Sequence[Fraction]) -> Speed:
    """The tempo of the piece: its first mark that gives one, else a moderate one."""
    for mark in score.tempos:
        if 0 <= mark.measure < len(beats) and (speed := speed_of(mark, beats[mark.measure])):
            return speed
    low, high = UNMARKED_RANGE
    beat = beats[0] if beats else Fraction(1)
    return Speed(nearest_mark((low + high) / 2), beat, low, high, "assumed")


def speed_of(mark: TempoMark, beat: Fraction) -> Speed | None:
    """The speed that one mark gives by itself; None when it gives none."""
    unit = mark.beat_unit_quarters
    if mark.bpm and unit and _is_sane(mark.bpm * float(unit)):
        if unit in BEAT_NAMES:
            return Speed(round(mark.bpm, 2), unit, mark.bpm, mark.bpm, "metronome")
        bpm = round(mark.bpm * float(unit / beat), 2)
        return Speed(bpm, beat, bpm, bpm, "metronome")
    played = mark.quarter_bpm / float(beat) if mark.quarter_bpm and _is_sane(mark.quarter_bpm) else None
    if word := tempo_word(mark.text):
        name, low, high = word
        fits = played is not None and low <= played <= high
        bpm = round(played, 2) if fits and played else float(nearest_mark((low + high) / 2))
        return Speed(bpm, beat, low, high, "words", mark.text, name)
    if played is not None:
        bpm = round(played, 2)
        return Speed(bpm, beat, bpm, bpm, "playback")
    return None


def _is_sane(quarter_bpm: float) -> bool:
    return SLOWEST_QUARTER_BPM <= quarter_bpm <= FASTEST_QUARTER_BPM


def speeds_by_measure(
    score: Score, beats: Sequence[Fraction], opening: Speed
) -> tuple[tuple[float, ...], tuple[TempoTurn, ...]]:
    """Quarters a minute of every measure, and the turns with what the page says.

    A tempo inside a measure holds from that measure on. Gradual changes (rit., accel.)
    do not move the speed; the next mark does.
    """
    speeds = [opening.quarter_bpm] * len(score.measures)
    steady, turns = opening.quarter_bpm, []
    for mark in score.tempos:
        if not 0 <= mark.measure < len(speeds):
            continue
        found = _following(mark, beats[mark.measure], steady, opening.quarter_bpm)
        if found is None:
            continue
        if abs(found - steady) > 0.01 * steady:
            turns.append(_turn(mark, beats[mark.measure], found))
        steady = found
        speeds[mark.measure :] = [found] * (len(speeds) - mark.measure)
    return tuple(speeds), tuple(turns)


def _following(mark: TempoMark, beat: Fraction, steady: float, opening: float) -> float | None:
    if not mark.bpm:
        if _FIRST.search(mark.text):
            return opening
        if _BACK.search(mark.text):
            return steady
        for pattern, share in _RELATIVE:
            if pattern.search(mark.text):
                return min(max(steady * share, SLOWEST_QUARTER_BPM), FASTEST_QUARTER_BPM)
    own = speed_of(mark, beat)
    return own.quarter_bpm if own is not None else None


def _turn(mark: TempoMark, beat: Fraction, quarter_bpm: float) -> TempoTurn:
    """A mark at which the tempo turns; a printed number in the unit the page counts."""
    words = mark.text if any(letter.isalpha() for letter in mark.text) else ""
    unit = mark.beat_unit_quarters
    if mark.bpm and unit in BEAT_NAMES:
        return TempoTurn(mark.measure, mark.bpm, BEAT_NAMES[unit], "metronome", words)
    source: TempoSource = "words" if words else "metronome" if mark.bpm else "playback"
    return TempoTurn(mark.measure, quarter_bpm / float(beat), BEAT_NAMES[beat], source, words)
