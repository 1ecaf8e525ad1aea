"""What the page says about tempo, place by place: words, printed numbers, notes set equal, playback."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property, lru_cache

from planner.core.score import Score, TempoMark
from planner.study.time.tempo_changes import ChangeKind, TempoChange, tempo_change
from planner.study.time.tempo_words import WordSpeed, tempo_word

SLOWEST_QUARTER_BPM, FASTEST_QUARTER_BPM = 10.0, 800.0
"""Numbers outside these are misprints. House choice."""

_PRIORITY = (
    ChangeKind.FIRST, ChangeKind.SECOND, ChangeKind.BACK, ChangeKind.SAME, ChangeKind.SHARE, ChangeKind.LOOSE,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class TextOfTempo:
    """A text about tempo with what it sets and what it changes."""

    text: str
    speed: WordSpeed | None
    change: TempoChange | None


@dataclass(frozen=True)
class TempoSign:
    """Everything that one place says about tempo.

    Attributes:
        measure, onset: The place.
        texts: Texts that say something about tempo, those of the top part first.
        heading: The first text of a tempo mark, whether it speaks of tempo or not.
        unit, bpm, bpm_high: A printed number and the note that it counts.
        equal: The note that ``unit`` is set equal to.
        played: Quarters a minute for playback.
    """

    measure: int
    onset: Fraction
    texts: tuple[TextOfTempo, ...] = ()
    heading: str = ""
    unit: Fraction | None = None
    bpm: float | None = None
    bpm_high: float | None = None
    equal: Fraction | None = None
    played: float | None = None

    @cached_property
    def change(self) -> TempoChange | None:
        """The change in words that counts most."""
        found = [each.change for each in self.texts if each.change is not None]
        return min(found, key=lambda change: _PRIORITY.index(change.kind), default=None)

    @cached_property
    def worded(self) -> TextOfTempo | None:
        """The text that sets a speed of its own, a tempo word before a word of mood."""
        found = [each for each in self.texts if each.speed is not None]
        return min(found, key=lambda each: bool(each.speed and each.speed.is_mood), default=None)

    @property
    def words(self) -> str:
        """The words to name it by; empty without any."""
        change = self.change
        for each in self.texts:
            if change is None or each.change == change or each is self.worded:
                return each.text
        return self.heading

    @property
    def has_number(self) -> bool:
        """Whether a number is printed."""
        return self.bpm is not None


def tempo_signs(score: Score) -> list[TempoSign]:
    """The places that say something about tempo, in order.

    A number without words belongs to words without a number in the same measure; the words and the number
    of a pickup to those of the first full measure.

    Example:
        >>> tempo_signs(Score("Empty", (), ()))
        []
    """
    places: dict[tuple[int, Fraction], TempoSign] = {}
    count = len(score.measures)
    for mark in score.tempos:
        if 0 <= mark.measure < count:
            key = (mark.measure, mark.onset_quarters)
            places[key] = _with_mark(places.get(key) or TempoSign(*key), mark)
    for part in score.parts:
        for words in part.words:
            if 0 <= words.measure < count and (text := _read(words.text)):
                key = (words.measure, words.onset_quarters)
                sign = places.get(key) or TempoSign(*key)
                if text not in sign.texts:
                    places[key] = replace(sign, texts=(*sign.texts, text))
    signs = [
        sign
        for _, sign in sorted(places.items())
        if sign.texts or sign.has_number or sign.equal or sign.played
    ]
    has_pickup = bool(score.measures) and score.measures[0].implicit
    return _joined(signs, has_pickup)


@lru_cache(maxsize=1024)
def _read(text: str) -> TextOfTempo | None:
    """What a text says of tempo; None when nothing. Pages say the same words over and over."""
    speed, change = tempo_word(text), tempo_change(text)
    if change is not None and change.by_degrees:
        speed = None
    return TextOfTempo(text, speed, change) if speed or change else None


def _with_mark(sign: TempoSign, mark: TempoMark) -> TempoSign:
    text = _read(mark.text)
    if text is not None and text not in sign.texts:
        sign = replace(sign, texts=(*sign.texts, text))
    if mark.text and not sign.heading and any(letter.isalpha() for letter in mark.text):
        sign = replace(sign, heading=mark.text)
    unit = mark.beat_unit_quarters
    if unit and mark.bpm and _is_sane(mark.bpm * float(unit)) and not sign.has_number:
        sign = replace(sign, unit=unit, bpm=mark.bpm, bpm_high=mark.bpm_high)
    elif unit and mark.equal_quarters and not sign.has_number:
        sign = replace(sign, unit=unit, equal=mark.equal_quarters)
    if sign.played is None and mark.quarter_bpm and _is_sane(mark.quarter_bpm):
        sign = replace(sign, played=mark.quarter_bpm)
    return sign


def _is_sane(quarter_bpm: float) -> bool:
    return SLOWEST_QUARTER_BPM <= quarter_bpm <= FASTEST_QUARTER_BPM


def _joined(signs: Sequence[TempoSign], has_pickup: bool) -> list[TempoSign]:
    """Numbers without words beside the words without a number that they belong to."""
    found: list[TempoSign] = []
    for sign in signs:
        last = found[-1] if found else None
        if last is not None and _belong(last, sign, has_pickup):
            number = sign if sign.has_number else last
            words = last if sign.has_number else sign
            found[-1] = replace(
                last, texts=words.texts, heading=words.heading, unit=number.unit, bpm=number.bpm,
                bpm_high=number.bpm_high, played=number.played,
            )  # fmt: skip
        else:
            found.append(sign)
    return found


def _belong(first: TempoSign, second: TempoSign, has_pickup: bool) -> bool:
    """Whether one is a number and the other the words to it."""
    near = first.measure == second.measure or (has_pickup and (first.measure, second.measure) == (0, 1))
    if not near or first.has_number == second.has_number:
        return False
    number, words = (first, second) if first.has_number else (second, first)
    loose = words.change is not None and words.change.kind is ChangeKind.LOOSE
    return not number.texts and not words.equal and bool(words.texts) and not loose
