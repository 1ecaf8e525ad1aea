"""The words on a pre-read guide beside the study's sentences: headings, tempo, captions, cautions."""

from collections.abc import Sequence
from enum import StrEnum

from planner.core.fact import Topic
from planner.core.profile import Tempo
from planner.wording.study.time import countable
from planner.wording.words import bars

HEADINGS: dict[str, str] = {
    Topic.METER: "Meter", Topic.ROADMAP: "Roadmap", Topic.FORM: "Form", Topic.TUNE: "Tune",
    Topic.KEY: "Key",
    Topic.HARMONY: "Harmony", Topic.ACCIDENTALS: "Accidentals", Topic.SPOTS: "Hard spots",
    Topic.PATTERNS: "Patterns", Topic.EXPRESSION: "Expression", Topic.RANGE: "Range",
    Topic.TEMPO: "Tempo", Topic.FIT: "Time",
}  # fmt: skip
"""Heading of each topic, as a player reads it."""

_NOTES = {
    "whole": "\N{MUSICAL SYMBOL WHOLE NOTE}", "half": "\N{MUSICAL SYMBOL HALF NOTE}", "quarter": "♩",
    "eighth": "♪", "sixteenth": "\N{MUSICAL SYMBOL SIXTEENTH NOTE}",
}  # fmt: skip
"""Beats as notes; the sheets' typefaces have them all."""


def metronome(unit: str, bpm: int | None) -> str:
    """A metronome mark for a printed sheet, the beat as a note; empty without a number.

    Example:
        >>> metronome("dotted-quarter", 72), metronome("quarter", None)
        ('♩. = 72', '')
        >>> metronome("quarter", 36)
        '♪ = 72'
    """
    beat, number = counted_beat(unit, bpm)
    if number is None:
        return ""
    length, dot = beat.removeprefix("dotted "), "." if beat.startswith("dotted ") else ""
    return f"{_NOTES[length]}{dot} = {number}" if length in _NOTES else f"{beat} = {number}"


def counted_beat(unit: str, bpm: int | None) -> tuple[str, int | None]:
    """The beat that a metronome counts, as a word, and how many a minute; no beat without a number.

    Example:
        >>> counted_beat("dotted-quarter", 72), counted_beat("quarter", 36), counted_beat("half", None)
        (('dotted quarter', 72), ('eighth', 72), ('', None))
    """
    if not bpm:
        return "", None
    beat, number = countable(unit.replace("-", " "), bpm).split(" = ")
    return beat, int(number)


def first_tempo(tempo: Tempo) -> str:
    """Tempo of the first reading on a sheet, such as ``♩ = 76``; empty when it is not known."""
    return metronome(tempo.unit, _first_bpm(tempo))


def first_tempo_words(tempo: Tempo) -> str:
    """The same in words, for pages: a browser need not have a typeface with every note.

    Example:
        >>> first_tempo_words(Tempo(96.0, "half", 80, first_reading=66))
        'half = 66'
    """
    beat, number = counted_beat(tempo.unit, _first_bpm(tempo))
    return f"{beat} = {number}" if number is not None else ""


def _first_bpm(tempo: Tempo) -> int:
    return tempo.reading if tempo.first_reading is None else tempo.first_reading


def opening_caption(numbers: Sequence[str], last: int) -> str:
    """What the passage from the first bar on is.

    Example:
        >>> opening_caption(("1", "2", "3"), 2)
        'The opening, bars 1–3'
    """
    return f"The opening, {bars(numbers, 0, last)}"


def spot_caption(numbers: Sequence[str], first: int, last: int, reasons: Sequence[str]) -> str:
    """What the passage around a hard spot is.

    Example:
        >>> spot_caption(("1", "2", "3"), 1, 1, ("run",))
        'A hard spot, bar 2: run'
    """
    return f"A hard spot, {bars(numbers, first, last)}: {', '.join(reasons)}"


def not_drawn(caption: str) -> str:
    """The caption of a passage that could not be drawn."""
    return f"{caption} (could not be drawn from the score file)"


class Caution(StrEnum):
    """What can hurt while playing: by family of the instrument, then by what the part asks."""

    BRASS = "brass"
    WOODWIND = "woodwind"
    STRINGS = "strings"
    PLUCKED = "plucked"
    PERCUSSION = "percussion"
    KEYBOARD = "keyboard"
    VOICE = "voice"
    ANY_BODY = "any body"
    LOUD = "loud"
    LONG = "long"
    STOP = "stop"


_CAUTIONS: dict[Caution, str] = {
    Caution.BRASS: "Do not force high notes or repeat a high passage many times; rest the lip often.",
    Caution.WOODWIND: "Keep the jaw and hands easy; do not repeat a hard passage many times without a pause.",
    Caution.STRINGS: (
        "Keep shoulders and hands easy; do not repeat a hard passage many times without a pause."
    ),
    Caution.PLUCKED: "Keep both hands easy; do not repeat a hard passage many times without a pause.",
    Caution.PERCUSSION: (
        "Let sticks and wrists stay loose; drums in a small room are loud for you and for others."
    ),
    Caution.KEYBOARD: (
        "Keep wrists and shoulders easy; do not repeat a hard passage many times without a pause."
    ),
    Caution.VOICE: "Do not push high or low notes; mark them, or leave them out, rather than strain.",
    Caution.ANY_BODY: (
        "Stay easy in body and breath; do not repeat a hard passage many times without a pause."
    ),
    Caution.LOUD: "There are loud passages: read them first at a moderate level, and protect your ears.",
    Caution.LONG: "It is long to play through: use the rests to take the instrument down.",
    Caution.STOP: (
        "Stop if anything hurts. Your director and local rules on health and loudness come first."
    ),
}
"""Source: common practice in wind, string and percussion teaching; no medical claim."""

FOR_THE_ROOM = (
    "Warm up before high or loud playing, rest whenever lips, hands or shoulders tire, and do not repeat a "
    "strenuous passage for long. Protect ears in a loud room. Local rules on health and loudness come first; "
    "pain is a matter for someone licensed to judge it."
)
"""The usual cautions to everyone, for the director. Source: as above."""


def caution_text(caution: Caution) -> str:
    """A caution as the player reads it."""
    return _CAUTIONS[caution]
