"""A setting for band: sections of lines handed out to the players, and the roadmap around them."""

import unicodedata
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Literal

from .band import BY_CODE, PLAYERS, XYLOPHONE
from .folding import folded
from .harmony import Sounding, inner_voices, read_chords
from .lines import Bar, Event, LineError, bar_rest, read_line
from .tones import FIFTHS, Key, Meter, Tone, tone

NEAR = {"tune": "B4", "counter": "D4", "bass": "B2", "timp": "B2", "alto": "F4", "tenor": "C4"}
STEPS = ("pp", "p", "mp", "mf", "f", "ff")
INNER = ("alto", "tenor")


@dataclass(frozen=True, slots=True)
class Direction:
    """Something printed at a place in a part: ``dynamics``, ``wedge`` or ``words``."""

    bar: int
    offset: Fraction
    kind: Literal["dynamics", "wedge", "words"]
    value: str


@dataclass(frozen=True, slots=True)
class Tempo:
    """A tempo mark: words, beat unit (``quarter``, ``half``, ``quarter.``, ``eighth``) and number."""

    bar: int
    words: str
    unit: str
    bpm: int


@dataclass(frozen=True, slots=True)
class Jump:
    """A roadmap mark: its kind, the position of its bar, and for endings their number."""

    kind: Literal[
        "repeat-start", "repeat-end", "ending-start", "ending-stop", "ending-open",
        "segno", "coda", "to-coda", "fine", "dc-fine", "ds-coda", "ds-fine", "dc-coda", "double",
    ]  # fmt: skip
    bar: int
    number: str = ""


@dataclass(slots=True)
class Setting:
    """One piece while it is being written.

    ``source`` says what the tune is and where it comes from; ``ranges`` are the
    concert ranges of the two inner voices that chord symbols are turned into;
    ``featured`` names the players the piece shows; ``composer`` is empty for new music,
    so that a programme prints no credit. ``form`` states the sections by their tunes with first and
    last bar: ``"introduction 1-4 | A 5-12 | A' 13-20 | coda 21-24"``, a prime where a tune is varied.
    These letters name tunes; rehearsal marks are letters in the order of the page.
    """

    title: str
    source: str
    level: float
    key: str
    meter: str
    tempo: tuple[str, str, int]
    featured: str
    composer: str = "Traditional"
    ranges: tuple[tuple[str, str], tuple[str, str]] = (("Bb3", "F4"), ("F3", "D4"))
    pickup: Fraction = Fraction(0)
    mallets: str = "Bells"
    meters: list[Meter] = field(default_factory=list)
    lengths: list[Fraction] = field(default_factory=list)
    keys: list[Key] = field(default_factory=list)
    parts: dict[str, list[Bar]] = field(default_factory=lambda: {p.code: [] for p in PLAYERS})
    bass_drum: list[Bar] = field(default_factory=list)
    directions: dict[str, list[Direction]] = field(default_factory=lambda: {p.code: [] for p in PLAYERS})
    tempos: list[Tempo] = field(default_factory=list)
    words: list[Direction] = field(default_factory=list)
    rehearsals: dict[int, str] = field(default_factory=dict)
    form: str = ""
    jumps: list[Jump] = field(default_factory=list)
    loudness: str = "mf"
    last_mark: dict[str, tuple[str, int]] = field(default_factory=dict)
    strays: list[str] = field(default_factory=list)

    @property
    def slug(self) -> str:
        """File name without suffix, in plain letters."""
        plain = unicodedata.normalize("NFKD", self.title).encode("ascii", "ignore").decode()
        return "-".join("".join(c if c.isalnum() else " " for c in plain.lower().replace("'", "")).split())

    def at(self, printed: int) -> int:
        """Position of the bar with a printed number."""
        return printed if self.pickup else printed - 1

    def section(self, bars: int, lines: dict[str, str], plan: str, *, chords: str = "",
                comp: dict[str, str] | None = None, dyn: str = "", meter: str = "", key: str = "",
                mark: str = "", drums: tuple[str, str] = ("", ""), timp: str = "", under: str = "",
                tempo: tuple[str, str, int] | None = None) -> None:  # fmt: skip
        """Add a section.

        Args:
            bars: Bars in it (a pickup bar is extra, in the first section).
            lines: Lines by name, in the notation of ``lines.py``, at concert pitch.
            plan: Who plays which line: ``tune: fl+1 ob; bass: tu-1 bc?`` (octaves; ``?`` folds stray notes,
                ``!`` lays the line into the range with as few breaks as it takes).
            chords: Chord symbols; the inner voices ``alto`` and ``tenor`` are made from them.
            comp: Rhythm of the inner voices, by name starting with ``alto`` or ``tenor``.
            dyn: ``1 mf; 5 < 7; 7 f``, bar numbers in the section, ``5@2`` two quarters into bar 5.
            meter: Meter from here on, when it changes; several, parted by spaces, take turns.
            key: Concert key from here on, when it changes.
            mark: Rehearsal mark.
            drums: Snare drum and bass drum patterns, repeated as needed.
            timp: Timpani line, repeated as needed. In rhythms and patterns ``||`` parts off the last bars.
            under: Further lines that play one dynamic step below.
            tempo: New tempo.
        """
        first = len(self.meters)
        try:
            self._section(
                bars, lines, plan, chords, comp or {}, dyn, meter, key, mark, drums, timp, under, tempo
            )
        except (LineError, ValueError) as error:
            raise LineError(f"{self.title}, section at position {first}: {error}") from error

    def _section(self, bars: int, lines: dict[str, str], plan: str, chords: str, comp: dict[str, str],
                 dyn: str, meter: str, key: str, mark: str, drums: tuple[str, str], timp: str, under: str,
                 tempo: tuple[str, str, int] | None) -> None:  # fmt: skip
        first = len(self.meters)
        has_pickup = first == 0 and bool(self.pickup)
        self.meter, self.key = meter or self.meter, key or self.key
        turns = [Meter(m) for m in self.meter.split()]
        meters = [turns[i % len(turns)] for i in range(bars)]
        lengths = [m.length for m in meters]
        if has_pickup:
            meters, lengths = [meters[0], *meters], [self.pickup, *lengths]
        bars = len(meters)
        the_key = Key(self.key)
        read = {
            name: read_line(text, meters, the_key.fifths, near=NEAR.get(name, "B4"), lengths=lengths)
            for name, text in lines.items()
        }
        if comp:
            read |= self._inner(read, chords, comp, meters, lengths, the_key)
        self.meters += meters
        self.lengths += lengths
        self.keys += [the_key] * bars
        if mark:
            self.rehearsals[first + has_pickup] = mark
        if first == 0 or tempo:
            self.tempos.append(Tempo(first, *(tempo or self.tempo)))
        roles = self._hand_out(read, plan)
        self._percussion(drums, timp, meters, lengths, the_key, roles)
        unplayed = {*lines, *comp} - set(roles.values())
        if unplayed:
            raise LineError(f"nobody plays {', '.join(sorted(unplayed))}")
        if self.strays:
            raise LineError("out of range: " + "; ".join(self.strays))
        for bars_of in [*self.parts.values(), self.bass_drum]:
            bars_of += [bar_rest(n) for n in lengths[len(bars_of) - first :]]
        soft = {*under.split(), *(name for name in read if name.startswith(INNER) and self.level >= 1.5)}
        self._loudness(
            dyn, first, bars, int(has_pickup), {code: role in soft for code, role in roles.items()}
        )

    def _inner(self, read: dict[str, list[Bar]], chords: str, comp: dict[str, str], meters: list[Meter],
               lengths: list[Fraction], key: Key) -> dict[str, list[Bar]]:  # fmt: skip
        tonic = tone(f"{key.name.removesuffix('m')}4").midi % 12
        found = inner_voices(
            read_chords(chords, lengths),
            _sounding(read.get("tune", [])),
            _sounding(read.get("bass", [])),
            [_sounding(bars) for name, bars in read.items() if name not in ("tune", "bass")],
            self.ranges,
            tonic,
        )
        made: dict[str, list[Bar]] = {}
        for name, text in comp.items():
            voice: Sounding = [(c.onset, a if name.startswith("alto") else t) for c, a, t in found]
            rhythm = self._pattern(text, meters, lengths, drum="s")
            made[name] = _tuned(rhythm, voice)
        return made

    def _pattern(self, text: str, meters: list[Meter], lengths: list[Fraction], *, fifths: int = 0,
                 drum: str = "") -> list[Bar]:  # fmt: skip
        """A line repeated as often as the section needs; silent in the pickup; after ``||`` its last bars."""
        start = int(lengths[0] < meters[0].length)
        again, _, closing = text.partition("||")
        bars = read_line(again, meters[start:], fifths, near=NEAR["timp"], drum=drum, cycle=True)
        if closing:
            count = len(closing.split("|"))
            bars[-count:] = read_line(closing, meters[-count:], fifths, near=NEAR["timp"], drum=drum)
        return [bar_rest(n) for n in lengths[:start]] + bars

    def _hand_out(self, read: dict[str, list[Bar]], plan: str) -> dict[str, str]:
        roles: dict[str, str] = {}
        for clause in plan.replace("\n", " ").split(";"):
            role, _, players = clause.partition(":")
            for word in players.split():
                code, shift, folds = word[:2], word[2:].rstrip("?!"), word.endswith("?")
                if role.strip() not in read or code not in BY_CODE or code in roles:
                    raise LineError(f"plan: {role.strip()}: {word}")
                roles[code] = role.strip()
                steps = 7 * int(shift or 0)
                octaves = self._octaves(read[role.strip()], code, steps) if word.endswith("!") else {}
                self.parts[code] += [
                    tuple(
                        self._placed(e, code, steps + 7 * octaves.get((at, i), 0), folds)
                        for i, e in enumerate(bar)
                    )
                    for at, bar in enumerate(read[role.strip()])
                ]
                if len(self.parts[code]) != len(self.meters):
                    raise LineError(f"{code} holds {len(self.parts[code])} bars, not {len(self.meters)}")
        return roles

    def _allowed(self, code: str) -> tuple[Tone, Tone]:
        xylophone = code == "ml" and self.mallets == "Xylophone"
        player = BY_CODE[code]
        return (replace(player, ranges=XYLOPHONE) if xylophone else player).allowed(self.level)

    def _octaves(self, bars: list[Bar], code: str, steps: int) -> dict[tuple[int, int], int]:
        """Octaves that lay a line into a part's range with few breaks."""
        low, high = self._allowed(code)

        def fits(heard: Tone) -> bool:
            moved = Tone(heard.step + steps, heard.alter)
            return low.midi <= BY_CODE[code].written(moved).midi <= high.midi

        return folded(bars, fits)

    def _placed(self, event: Event, code: str, steps: int, folds: bool) -> Event:
        if event.tone is None:
            return event
        moved = Tone(event.tone.step + steps, event.tone.alter)
        player = BY_CODE[code]
        low, high = self._allowed(code)
        for octave in (7, -7) if folds else ():
            while (
                (player.written(moved).midi < low.midi)
                if octave > 0
                else (player.written(moved).midi > high.midi)
            ):
                moved = Tone(moved.step + octave, moved.alter)
        if not low.midi <= player.written(moved).midi <= high.midi:
            self.strays.append(f"{player.name}: written {player.written(moved)} ({low} to {high})")
        return replace(event, tone=moved)

    def _percussion(self, drums: tuple[str, str], timp: str, meters: list[Meter], lengths: list[Fraction],
                    key: Key, roles: dict[str, str]) -> None:  # fmt: skip
        if drums[0]:
            self.parts["dr"] += self._pattern(drums[0], meters, lengths, drum="s")
        if drums[1]:
            self.bass_drum += self._pattern(drums[1], meters, lengths, drum="b")
        if timp:
            bars = self._pattern(timp, meters, lengths, fifths=key.fifths)
            self.parts["ti"] += [tuple(self._placed(e, "ti", 0, True) for e in bar) for bar in bars]
        roles |= {code: "percussion" for code, on in (("dr", any(drums)), ("ti", timp)) if on}

    def _loudness(self, dyn: str, first: int, bars: int, pickup: int, players: dict[str, bool]) -> None:
        marks: list[tuple[tuple[int, Fraction], str]] = [((first, Fraction(0)), self.loudness)]
        wedges: list[tuple[tuple[int, Fraction], tuple[int, Fraction], str]] = []
        for entry in filter(None, (text.strip() for text in dyn.split(";"))):
            words = entry.split()
            place = self._place(words[0], first + pickup)
            if words[1] in ("<", ">"):
                wedges.append((place, self._place(words[2], first + pickup), words[1]))
            else:
                marks = [m for m in marks if m[0] != place] + [(place, words[1])]
        marks.sort(key=lambda m: m[0])
        self.loudness = marks[-1][1]
        end = (first + bars, Fraction(0))
        for code, soft in players.items():
            struck = self._struck(code, first)
            for (place, mark), (until, _) in zip(marks, [*marks[1:], (end, "")], strict=True):
                self._mark(code, [s for s in struck if place <= s < until], _softer(mark) if soft else mark)
            for start, stop, sign in wedges:
                self._wedge(code, [s for s in struck if start <= s < stop], start, stop, sign)

    def _place(self, text: str, first: int) -> tuple[int, Fraction]:
        bar, _, offset = text.partition("@")
        return first + int(bar) - 1, Fraction(offset or 0)

    def _struck(self, code: str, first: int) -> list[tuple[int, Fraction]]:
        found = set()
        for line in [self.parts[code], *([self.bass_drum] if code == "dr" else [])]:
            for bar in range(first, len(self.meters)):
                onset = Fraction(0)
                for event in line[bar]:
                    if not event.is_rest:
                        found.add((bar, onset))
                    onset += event.length
        return sorted(found)

    def _mark(self, code: str, struck: list[tuple[int, Fraction]], mark: str) -> None:
        if not struck:
            return
        before, last_bar = self.last_mark.get(code, ("", -1))
        if mark != before or struck[0][0] - last_bar > 2:
            self.directions[code].append(Direction(*struck[0], "dynamics", mark))
        self.last_mark[code] = (mark, struck[-1][0])

    def _when(self, place: tuple[int, Fraction]) -> Fraction:
        """Quarters from the start of the piece."""
        return sum(self.lengths[: place[0]], Fraction(0)) + place[1]

    def _wedge(self, code: str, struck: list[tuple[int, Fraction]], start: tuple[int, Fraction],
               stop: tuple[int, Fraction], sign: str) -> None:  # fmt: skip
        """A hairpin, unless the part comes in only in its second half."""
        if not struck or self._when(struck[0]) > (self._when(start) + self._when(stop)) / 2:
            return
        bar, offset = stop
        if offset == 0:
            bar, offset = bar - 1, self.lengths[bar - 1]
        if (bar, offset) <= struck[0]:
            return
        self.directions[code] += [
            Direction(*struck[0], "wedge", "crescendo" if sign == "<" else "diminuendo"),
            Direction(bar, offset, "wedge", "stop"),
        ]
        before, _ = self.last_mark[code]
        self.last_mark[code] = (f"{before}{sign}", struck[-1][0])

    def say(self, printed: int, words: str, offset: str = "0") -> None:
        """Print words above the whole score."""
        self.words.append(Direction(self.at(printed), Fraction(offset), "words", words))

    def repeat(self, first: int, last: int) -> None:
        """Repeat from one printed bar to another."""
        self.jumps += [Jump("repeat-start", self.at(first)), Jump("repeat-end", self.at(last))]

    def endings(self, start: int, first: tuple[int, int], second: tuple[int, int]) -> None:
        """A repeat from ``start`` with a first and a second ending (printed bars, inclusive)."""
        self.jumps += [
            Jump("repeat-start", self.at(start)),
            Jump("ending-start", self.at(first[0]), "1"),
            Jump("ending-stop", self.at(first[1]), "1"),
            Jump("repeat-end", self.at(first[1])),
            Jump("ending-start", self.at(second[0]), "2"),
            Jump("ending-open", self.at(second[1]), "2"),
        ]

    def jump(self, kind: str, printed: int) -> None:
        """Any other roadmap mark."""
        self.jumps.append(Jump(kind, self.at(printed)))  # type: ignore[arg-type]


def _softer(mark: str) -> str:
    return STEPS[max(1, STEPS.index(mark) - 1)] if mark in STEPS else mark


def _sounding(bars: list[Bar]) -> Sounding:
    when, found = Fraction(0), []
    for bar in bars:
        for event in bar:
            found.append((when, event.tone))
            when += event.length
    return found


VALUES = {
    Fraction(4): (1, 0), Fraction(3): (2, 1), Fraction(2): (2, 0), Fraction(3, 2): (4, 1),
    Fraction(1): (4, 0),
    Fraction(3, 4): (8, 1), Fraction(1, 2): (8, 0), Fraction(1, 4): (16, 0),
}  # fmt: skip
"""Note value and dots by length in quarters."""


def _tuned(rhythm: list[Bar], voice: Sounding) -> list[Bar]:
    """An inner voice in a rhythm; a note held over a change of its chord tone is struck again there."""
    when, bars = Fraction(0), []
    for bar in rhythm:
        events: list[Event] = []
        for event in bar:
            events += [event] if event.is_rest else _struck_again(event, voice, when)
            when += event.length
        bars.append(tuple(events))
    return bars


def _struck_again(event: Event, voice: Sounding, when: Fraction) -> list[Event]:
    end = when + event.length
    heard = [t for onset, t in voice if onset <= when][-1]
    for onset, later in voice:
        if when < onset < end and later != heard and onset - when in VALUES and end - onset in VALUES:
            parts = []
            for at, until, pitch in ((when, onset, heard), (onset, end, later)):
                value, dots = VALUES[until - at]
                changed = replace(event, drum="", tone=pitch, length=until - at, value=value, dots=dots)
                parts.append(changed if at == when else replace(changed, articulations=(), words=""))
            first = replace(parts[0], tie=False, fermata=False)
            return [first, *_struck_again(parts[1], voice, onset)]
    following = [t for onset, t in voice if onset <= end][-1]
    return [replace(event, drum="", tone=heard, tie=event.tie and following == heard)]


__all__ = ["FIFTHS", "Direction", "Jump", "Setting", "Tempo"]
