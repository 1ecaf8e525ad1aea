"""How a line of music is written in the source of a piece, and how it is read.

Bars are parted by ``|``. A note is a letter in the concert key (``B`` is B flat in
B flat major), with ``#``, ``b`` or ``n`` against the signature, ``'`` or ``,`` for an
octave up or down from the nearest one, a length (``4`` quarter, ``8.`` dotted eighth,
``8t`` triplet eighth; kept until changed), and marks: ``*`` staccato, ``_`` tenuto,
``>`` accent, ``^`` strong accent, ``~`` tie, ``(`` slur from, ``)`` slur to, ``@`` fermata.
``r`` is a rest, ``R`` a bar of rest, ``R*4`` four of them, ``%`` the bar before once more,
``[C5]`` says near which tone the next note lies, ``{dolce}`` prints words.
"""

import re
from dataclasses import dataclass, replace
from fractions import Fraction

from .tones import LETTERS, Meter, Tone, key_alter, tone

_TOKEN = re.compile(
    r"^(?P<letter>[A-Grsbc]?)(?P<sign>[#bn]?)(?P<octave>[',]*)(?P<length>(?:16|1|2|4|8)?)(?P<dots>\.*)"
    r"(?P<triplet>t?)(?P<marks>[*_>^~()@]*)$"
)
_MARKS = {"*": "staccato", "_": "tenuto", ">": "accent", "^": "strong-accent"}


@dataclass(frozen=True, slots=True)
class Event:
    """A note or rest of a line; ``tone`` is concert pitch, None for a rest."""

    length: Fraction
    tone: Tone | None = None
    value: int = 4
    dots: int = 0
    is_triplet: bool = False
    articulations: tuple[str, ...] = ()
    tie: bool = False
    slur_starts: int = 0
    slur_stops: int = 0
    fermata: bool = False
    drum: str = ""
    words: str = ""
    whole_bar: bool = False

    @property
    def is_rest(self) -> bool:
        """True when nothing is struck."""
        return self.tone is None and not self.drum


Bar = tuple[Event, ...]


class LineError(ValueError):
    """A line of a piece does not read."""


def bar_rest(length: Fraction) -> Bar:
    """A whole bar of rest."""
    return (Event(length, whole_bar=True),)


@dataclass(slots=True)
class _Reader:
    fifths: int
    near: Tone
    drum: str
    length: str = "4"
    dots: int = 0
    triplet: bool = False
    words: str = ""

    def event(self, token: str) -> Event:
        match = _TOKEN.match(token)
        if not match:
            raise LineError(f"cannot read {token!r}")
        if match["length"]:
            self.length, self.dots, self.triplet = match["length"], len(match["dots"]), bool(match["triplet"])
        quarters = Fraction(4, int(self.length)) * (2 - Fraction(1, 2**self.dots))
        if self.triplet:
            quarters *= Fraction(2, 3)
        marks = match["marks"]
        event = Event(
            quarters,
            value=int(self.length),
            dots=self.dots,
            is_triplet=self.triplet,
            articulations=tuple(_MARKS[m] for m in marks if m in _MARKS),
            tie="~" in marks,
            slur_starts=marks.count("("),
            slur_stops=marks.count(")"),
            fermata="@" in marks,
            words=self.words,
        )
        self.words = ""
        letter = match["letter"]
        if letter == "r":
            return event
        if self.drum:
            return replace(event, drum=letter or self.drum)
        if not letter or letter not in LETTERS:
            raise LineError(f"{token!r} has no letter")
        self.near = self._nearest(letter, match["sign"], match["octave"])
        return replace(event, tone=self.near)

    def _nearest(self, letter: str, sign: str, octave: str) -> Tone:
        index = LETTERS.index(letter)
        step = self.near.step + (index - self.near.step % 7 + 3) % 7 - 3
        step += 7 * (octave.count("'") - octave.count(","))
        alter = {"#": 1, "b": -1, "n": 0}[sign] if sign else key_alter(letter, self.fifths)
        return Tone(step, alter)


def read_line(text: str, meters: list[Meter], fifths: int, *, near: str = "B4", drum: str = "",
              lengths: list[Fraction] | None = None, cycle: bool = False) -> list[Bar]:  # fmt: skip
    """Read one line over bars with the given meters.

    Args:
        text: The line.
        meters: Meter of each bar.
        fifths: Concert key signature.
        near: The first note is the one nearest to this tone.
        drum: Drum struck by a note without letter; empty for pitched lines.
        lengths: Length of each bar where it is not a full one (pickup).
        cycle: A line that is too short starts again.

    Raises:
        LineError: If a token does not read or a bar does not add up.
    """
    wanted = lengths or [m.length for m in meters]
    reader = _Reader(fifths, tone(near), drum)
    texts: list[str] = []
    for bar_text in text.strip().strip("|").split("|"):
        head, rests, count = bar_text.strip().partition("R*")
        texts += [f"{head}R"] * int(count) if rests else [head]
    if cycle:
        texts = [texts[at % len(texts)] for at in range(len(wanted))]
    bars: list[Bar] = []
    for at, bar_text in enumerate(texts[: len(wanted)]):
        bars.append(_read_bar(reader, bar_text, wanted[at], bars, at))
    if len(texts) != len(wanted):
        raise LineError(f"{len(texts)} bars instead of {len(wanted)}")
    for at, bar in enumerate(bars):
        if sum(e.length for e in bar) != wanted[at]:
            raise LineError(
                f"bar {at + 1} of the section holds {sum(e.length for e in bar)} quarters, not {wanted[at]}"
            )
    return bars


def _read_bar(reader: _Reader, text: str, length: Fraction, before: list[Bar], at: int) -> Bar:
    if text == "%":
        return before[-1]
    events = []
    for word in text.split():
        if word == "R":
            return bar_rest(length)
        if word.startswith("["):
            reader.near = tone(word[1:-1])
        elif word.startswith("{"):
            reader.words = word[1:-1].replace("_", " ")
        else:
            try:
                events.append(reader.event(word))
            except LineError as error:
                raise LineError(f"bar {at + 1} of the section: {error}") from error
    return tuple(events)
