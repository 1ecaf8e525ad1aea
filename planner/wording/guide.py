"""Words that sheets and pages share: headings of topics, tempo as a metronome mark, the usual cautions."""

from planner.core.fact import Topic
from planner.core.profile import Tempo
from planner.wording.study.time import countable

HEADINGS: dict[str, str] = {
    Topic.METER: "Meter", Topic.ROADMAP: "Roadmap", Topic.FORM: "Form", Topic.TUNE: "Tune",
    Topic.KEY: "Key",
    Topic.HARMONY: "Harmony", Topic.ACCIDENTALS: "Accidentals", Topic.SPOTS: "Hard spots",
    Topic.PATTERNS: "Patterns", Topic.EXPRESSION: "Expression", Topic.RANGE: "Range",
    Topic.TEMPO: "Tempo", Topic.FIT: "Time",
}  # fmt: skip
"""Heading of each topic."""

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
    return f"{note_sign(beat)} = {number}"


def note_sign(value: str) -> str:
    """A note value as a note; in words where no sign stands for it.

    Example:
        >>> note_sign("dotted quarter"), note_sign("eighth")
        ('♩.', '♪')
    """
    length, dot = value.removeprefix("dotted "), "." if value.startswith("dotted ") else ""
    return f"{_NOTES[length]}{dot}" if length in _NOTES else value


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


FOR_THE_ROOM = (
    "Warm up before high or loud playing, rest whenever lips, hands or shoulders tire, and do not repeat a "
    "strenuous passage for long. Protect ears in a loud room. Local rules on health and loudness come first; "
    "pain is a matter for someone licensed to judge it."
)
"""The usual cautions to everyone, for the director.

Source: common practice in wind, string and percussion teaching; no medical claim.
"""


SHEET_KINDS: dict[str, str] = {
    "plain": "as usual", "blanks": "with blanks to fill in, and the answers", "large-print": "in large print",
}  # fmt: skip
"""The versions of the sheets by their names, as a form offers them."""
_ENDINGS = {"-blanks": ", with blanks", "-large-print": ", large print"}


def sheet_name(stem: str) -> str:
    """What a file of a day's sheets holds, from its name.

    Example:
        >>> sheet_name("03-clarinet-1"), sheet_name("packet"), sheet_name("director")
        ('Clarinet 1', 'All parts in one file', 'For the director')
        >>> sheet_name("01-flute-blanks"), sheet_name("packet-large-print")
        ('Flute, with blanks', 'All parts in one file, large print')
    """
    end = next((each for each in _ENDINGS if stem.endswith(each)), "")
    own, more = stem.removesuffix(end), _ENDINGS.get(end, "")
    if own in _FILES:
        return f"{_FILES[own]}{more}"
    return own.lstrip("0123456789").strip("-").replace("-", " ").title() + more


_FILES = {"packet": "All parts in one file", "director": "For the director"}
