"""Two inner voices between a tune and a bass, from chord symbols.

The voices are found by the shortest path through all placings of chord tones:
small moves, full chords, no doubled leading tone, no parallel fifths or octaves
with the outer voices (rules of common-practice part-writing).
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise, product

from .tones import LETTERS, Tone, tone

_QUALITIES: dict[str, tuple[tuple[int, int], ...]] = {
    "": ((0, 0), (2, 4), (4, 7)),
    "m": ((0, 0), (2, 3), (4, 7)),
    "7": ((0, 0), (2, 4), (4, 7), (6, 10)),
    "m7": ((0, 0), (2, 3), (4, 7), (6, 10)),
    "maj7": ((0, 0), (2, 4), (4, 7), (6, 11)),
    "dim": ((0, 0), (2, 3), (4, 6)),
    "dim7": ((0, 0), (2, 3), (4, 6), (6, 9)),
    "m7b5": ((0, 0), (2, 3), (4, 6), (6, 10)),
    "sus4": ((0, 0), (3, 5), (4, 7)),
    "sus2": ((0, 0), (1, 2), (4, 7)),
    "7sus4": ((0, 0), (3, 5), (4, 7), (6, 10)),
    "5": ((0, 0), (4, 7)),
    "7no3": ((0, 0), (4, 7), (6, 10)),
    "6": ((0, 0), (2, 4), (4, 7), (5, 9)),
}
_CHORD = re.compile(r"^([A-G][#b]?)([a-z0-9]*)(?:/([A-G][#b]?))?$")


@dataclass(frozen=True, slots=True)
class Chord:
    """A chord symbol from a place on."""

    onset: Fraction
    symbol: str

    @property
    def tones(self) -> tuple[Tone, ...]:
        """Its tones, spelled in octave 0, root first."""
        root, quality, _ = _parse(self.symbol)
        base = tone(f"{root}0")
        return tuple(base.moved(*step) for step in _QUALITIES[quality])


def _parse(symbol: str) -> tuple[str, str, str]:
    match = _CHORD.match(symbol)
    if not match or match[2] not in _QUALITIES:
        raise ValueError(f"{symbol!r} is not a chord symbol of this library")
    return match[1], match[2], match[3] or ""


def read_chords(text: str, lengths: list[Fraction]) -> list[Chord]:
    """Read ``Bb | Eb:3 F7:1 | Bb/D F``: chords share a bar evenly unless a length in quarters is given."""
    bars = [bar.split() for bar in text.strip().strip("|").split("|")]
    if len(bars) != len(lengths):
        raise ValueError(f"{len(bars)} bars of chords instead of {len(lengths)}")
    found: list[Chord] = []
    start = Fraction(0)
    for bar, length in zip(bars, lengths, strict=True):
        at = start
        for token in bar:
            symbol, _, share = token.partition(":")
            if symbol == "%":
                symbol = found[-1].symbol
            found.append(Chord(at, symbol))
            at += Fraction(share) if share else length / len(bar)
        start += length
        if at != start:
            raise ValueError(f"chords {' '.join(bar)!r} do not fill the bar")
    return found


Sounding = list[tuple[Fraction, Tone | None]]
"""What a line sounds, as (onset, tone) in time order."""


def sounding_at(line: Sounding, when: Fraction) -> int | None:
    """MIDI number that a line holds at a time, None in a rest."""
    found = None
    for onset, heard in line:
        if onset > when:
            break
        found = heard
    return found.midi if found else None


@dataclass(frozen=True, slots=True)
class Frame:
    """What the inner voices meet at one chord: its tones and the outer voices."""

    chord: Chord
    leading: int
    tune: int | None
    bass: int | None
    choices: tuple[tuple[Tone, Tone], ...]
    costs: tuple[float, ...]


def inner_voices(chords: list[Chord], tune: Sounding, bass: Sounding, others: list[Sounding],
                 ranges: tuple[tuple[str, str], ...],
                 tonic_pitch_class: int) -> list[tuple[Chord, Tone, Tone]]:  # fmt: skip
    """The best alto and tenor for each chord; ``others`` are further lines they must not rub against."""
    leading = (tonic_pitch_class - 1) % 12
    ends = [c.onset for c in chords[1:]] + [chords[-1].onset + 4]
    frames = [
        _frame(c, tune, bass, ranges, leading, _heard([tune, bass, *others], c.onset, end))
        for c, end in zip(chords, ends, strict=True)
    ]
    best: list[tuple[float, int]] = [(cost, -1) for cost in frames[0].costs]
    table = [best]
    for before, now in pairwise(frames):
        row = []
        for at, choice in enumerate(now.choices):
            options = [
                (table[-1][i][0] + _move_cost(before, was, now, choice), i)
                for i, was in enumerate(before.choices)
            ]
            least = min(options)
            row.append((least[0] + now.costs[at], least[1]))
        table.append(row)
    at = min(range(len(table[-1])), key=lambda i: table[-1][i])
    picked: list[tuple[Chord, Tone, Tone]] = []
    for frame, row in zip(reversed(frames), reversed(table), strict=True):
        picked.append((frame.chord, *frame.choices[at]))
        at = row[at][1]
    return picked[::-1]


Heard = list[tuple[float, int]]
"""What sounds beside the inner voices under one chord: its weight as a rub, and its pitch class."""


def _heard(lines: list[Sounding], start: Fraction, end: Fraction) -> Heard:
    """Tones struck together with a chord weigh 8 a quarter, up to one; those that pass later 3 a quarter."""
    found: Heard = []
    for line in lines:
        stops = [onset for onset, _ in line[1:]] + [end]
        for (onset, heard), stop in zip(line, stops, strict=True):
            begins, shared = max(onset, start), float(min(stop, end) - max(onset, start))
            if heard is not None and shared > 0:
                found.append((8 * min(1, shared) if begins == start else 3 * shared, heard.midi % 12))
    return found


def _frame(chord: Chord, tune: Sounding, bass: Sounding, ranges: tuple[tuple[str, str], ...],
           leading: int, heard: Heard) -> Frame:  # fmt: skip
    high, low = sounding_at(tune, chord.onset), sounding_at(bass, chord.onset)
    pools = [
        [Tone(t.step + 7 * octave, t.alter) for t in chord.tones for octave in range(2, 7)] for _ in ranges
    ]
    fitting = [
        sorted(t for t in pool if tone(lo).midi <= t.midi <= tone(hi).midi)
        for pool, (lo, hi) in zip(pools, ranges, strict=True)
    ]
    passing = {pitch_class for _, pitch_class in heard}
    scored = sorted(
        (
            _static_cost(chord, alto, tenor, high, low, leading, passing) + _rub_cost(heard, alto, tenor),
            alto,
            tenor,
        )
        for alto, tenor in product(*fitting)
        if tenor.midi <= alto.midi
    )[:24]
    if not scored:
        raise ValueError(f"{chord.symbol} has no tones in the ranges {ranges}")
    return Frame(
        chord, leading, high, low, tuple((a, t) for _, a, t in scored), tuple(cost for cost, _, _ in scored)
    )


def _rub_cost(heard: Heard, alto: Tone, tenor: Tone) -> float:
    """Semitone rubs of the inner voices against the written lines."""
    return sum(
        weight
        for weight, pitch_class in heard
        for inner in (alto, tenor)
        if (inner.midi - pitch_class) % 12 in (1, 11)
    )


def _static_cost(chord: Chord, alto: Tone, tenor: Tone, tune: int | None, bass: int | None, leading: int,
                 passing: set[int]) -> float:  # fmt: skip
    """Fullness and spacing of one chord; ``passing`` are pitch classes the written lines touch later."""
    classes = [p % 12 for p in (alto.midi, tenor.midi, tune, bass) if p is not None]
    tones = [t.midi % 12 for t in chord.tones]
    cost = 0.0
    if tones[1] not in classes:
        cost += 4 if tones[1] in passing else 9
    if tones[0] not in classes:
        cost += 4
    if len(tones) > 3 and tones[3] not in classes:
        cost += 4
    cost += 7 * max(0, classes.count(leading) - 1) + 3 * max(0, classes.count(tones[1]) - 1)
    if len(tones) > 3:
        cost += 6 * max(0, classes.count(tones[3]) - 1)
    cost += 3 * (alto == tenor) + 3 * (alto.midi - tenor.midi > 12)
    if tune is not None:
        cost += 4 * (alto.midi > tune) + 3 * (0 < abs(alto.midi - tune) <= 2) + 0.5 * (alto.midi == tune)
    if bass is not None:
        cost += 5 * (tenor.midi < bass)
    return cost


def _move_cost(before: Frame, was: tuple[Tone, Tone], now: Frame, choice: tuple[Tone, Tone]) -> float:
    cost = 0.0
    seventh = before.chord.tones[3].midi % 12 if len(before.chord.tones) > 3 else None
    for old, new in zip(was, choice, strict=True):
        move = new.midi - old.midi
        cost += (0, 0.5, 0.7, 2, 2.5, 4)[abs(move)] if abs(move) <= 5 else 9
        if before.chord.symbol != now.chord.symbol:
            cost += 4 * (old.midi % 12 == seventh and move not in (0, -1, -2))
            cost += 2 * (old.midi % 12 == before.leading and move not in (0, 1))
    outer_was, outer_now = (before.tune, before.bass), (now.tune, now.bass)
    pairs = [(was[0].midi, choice[0].midi, was[1].midi, choice[1].midi)]
    for i in range(2):
        for j in range(2):
            a, b = outer_was[j], outer_now[j]
            if a is not None and b is not None:
                pairs.append((was[i].midi, choice[i].midi, a, b))
    for old_a, new_a, old_b, new_b in pairs:
        if old_a != new_a and old_b != new_b and (old_a - old_b - new_a + new_b) % 12 == 0:
            cost += {0: 9, 7: 7}.get(abs(new_a - new_b) % 12, 0)
    return cost


def letters_of(symbol: str) -> str:
    """Root of a chord symbol, as a letter with its sign."""
    return _parse(symbol)[0] if symbol[0] in LETTERS else ""
