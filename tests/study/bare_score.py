"""A MusicXML file as bare notes in bars, read without the project's own reader."""

import re
import zipfile
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree

from tests.study.bare_page import PageBar, read_page

STEPS = "CDEFGAB"
SEMITONES = dict(zip(STEPS, (0, 2, 4, 5, 7, 9, 11), strict=True))
SHARPS = "FCGDAEB"


class Bare(NamedTuple):
    """A note that is struck (ties merged away), grace and cue notes left out."""

    onset: Fraction
    step: str
    alter: int
    octave: int
    duration: Fraction
    is_signed: bool
    staff: int = 1
    voice: str = "1"

    @property
    def midi(self) -> int:
        return 12 * (self.octave + 1) + SEMITONES[self.step] + self.alter

    @property
    def diatonic(self) -> int:
        return 7 * self.octave + STEPS.index(self.step)

    @property
    def name(self) -> str:
        return self.step + ("♯" * self.alter if self.alter > 0 else "♭" * -self.alter)


@dataclass
class BareBar:
    """One measure of one part.

    ``time`` is the signature in force, ``quarter_bpm`` the last mark in it, ``fifths`` the key signature of
    the first staff; staves that have another have it in ``staff_fifths``. ``hits`` are onsets of unpitched
    heads, ``strokes`` the names of what they strike, empty where the file has none. ``chords`` counts what
    is struck, a chord once, and ``styles`` how many of them are slurred or have a mark of that style.
    ``drum_heads`` are unpitched heads with onset, length, name and line, ``cued`` small notes, ``rolls``
    heads with three strokes through the stem or more, ``fingered`` those with a fingering or a string.
    """

    start: Fraction
    length: Fraction
    fifths: int
    staff_fifths: dict[int, int] = field(default_factory=dict)
    struck: list[Bare] = field(default_factory=list)
    graces: list[Bare] = field(default_factory=list)
    sounding: list[Bare] = field(default_factory=list)
    hits: list[Fraction] = field(default_factory=list)
    strokes: list[str] = field(default_factory=list)
    drum_heads: list[tuple[Fraction, Fraction, str, str]] = field(default_factory=list)
    cued: list["Bare"] = field(default_factory=list)
    rolls: int = 0
    trills: int = 0
    fingered: int = 0
    marks: list[str] = field(default_factory=list)
    swells: list[str] = field(default_factory=list)
    articulations: list[str] = field(default_factory=list)
    waiting: list[tuple["Bare", bool, list[str] | None]] = field(default_factory=list)
    chords: int = 0
    styles: dict[str, int] = field(default_factory=dict)
    words: list[str] = field(default_factory=list)
    fermatas: int = 0
    key_changes: bool = False
    time: str = ""
    quarter_bpm: Fraction = Fraction(0)
    ends: set[tuple[Fraction, int]] = field(default_factory=set)

    @property
    def onsets(self) -> list[Fraction]:
        """When something is struck, with a pitch or without."""
        return sorted({*self.hits, *(note.onset for note in self.struck)})

    @property
    def is_silent(self) -> bool:
        """Whether nothing sounds in it."""
        return not self.sounding and not self.hits

    def fifths_of(self, staff: int) -> int:
        """The key signature at the end of the bar on one staff."""
        return self.staff_fifths.get(staff, self.fifths)


@dataclass
class BarePart:
    """One part: its bars, and what is added to a written pitch to get the sounding one."""

    name: str
    bars: list[BareBar]
    semitones: list[int]
    staves: int = 1

    def line(self, first: int, last: int) -> list[tuple[Fraction, Bare]]:
        """Highest struck note at each moment of some bars, at its time from the start of the score."""
        tops: dict[Fraction, Bare] = {}
        for bar in self.bars[first : last + 1]:
            for note in bar.struck:
                at = bar.start + note.onset
                if at not in tops or note.midi > tops[at].midi:
                    tops[at] = note
        return sorted(tops.items())

    def length_of(self, bar: int, note: Bare) -> Fraction:
        """How long a struck note sounds, ties followed."""
        begin, end = self.bars[bar].start + note.onset, self.bars[bar].start + note.onset + note.duration
        for each in self.bars[bar:]:
            if each.start > end:
                break
            for held in each.sounding:
                if held.midi == note.midi and each.start + held.onset == end and held not in each.struck:
                    end += held.duration
        return end - begin

    def staff(self, number: int) -> "BarePart":
        """The part with the notes of one staff alone."""

        def here(notes: list[Bare]) -> list[Bare]:
            return [note for note in notes if note.staff == number]

        bars = [
            replace(
                bar,
                struck=here(bar.struck),
                graces=here(bar.graces),
                sounding=here(bar.sounding),
                fifths=bar.fifths_of(number),
                staff_fifths={},
            )
            for bar in self.bars
        ]
        return replace(self, bars=bars, staves=1)


@dataclass
class BareScore:
    """A whole file."""

    numbers: list[str]
    parts: list[BarePart]
    times: list[str]
    pages: list[list[PageBar]] = field(default_factory=list)

    def cut(self, first: int, last: int) -> "BareScore":
        """Some bars of the file, the last included, as a score of their own: one of its movements."""
        here = slice(first, last + 1)
        parts = [
            replace(
                part,
                bars=[replace(bar, start=bar.start - part.bars[first].start) for bar in part.bars[here]],
                semitones=part.semitones[here],
            )
            for part in self.parts
        ]
        return replace(
            self,
            numbers=self.numbers[here],
            parts=parts,
            pages=[_page_from(page, first, last) for page in self.pages],
        )

    def quarter_bpm(self, bar: int) -> Fraction:
        """Quarters a minute by the last metronome mark up to a bar, over any part; 0 without one."""
        marked = (part.bars[at].quarter_bpm for at in range(bar, -1, -1) for part in self.parts)
        return next((bpm for bpm in marked if bpm), Fraction(0))


def _page_from(page: list[PageBar], first: int, last: int) -> list[PageBar]:
    """Some bars of a page, the clefs in force before them put into the first."""
    before = dict(clef for bar in page[:first] for clef in bar.clefs)
    bars = page[first : last + 1]
    own = {staff for staff, _ in bars[0].clefs} if bars else set()
    carried = [clef for clef in before.items() if clef[0] not in own]
    return [replace(bar, clefs=[*carried, *bar.clefs]) if at == 0 else bar for at, bar in enumerate(bars)]


def root_of(path: Path) -> ElementTree.Element:
    """The tree of a MusicXML file, compressed or not."""
    if not zipfile.is_zipfile(path):
        return ElementTree.fromstring(path.read_bytes())
    with zipfile.ZipFile(path) as archive:
        name = next(n for n in archive.namelist() if n.endswith(("xml",)) and "META" not in n)
        return ElementTree.fromstring(archive.read(name))


def read_bare(path: Path) -> BareScore:
    """Read a MusicXML file, partwise."""
    root = root_of(path)
    names = {
        each.get("id"): " ".join((each.findtext("part-name") or "").split())
        for each in root.iter("score-part")
    }
    kit = {
        each.get("id"): (each.findtext("instrument-name") or "").strip()
        for each in root.iter("score-instrument")
    }
    parts = [_part(names[each.get("id")], each.findall("measure"), kit) for each in root.findall("part")]
    _align(parts)
    first = root.findall("part")[0].findall("measure")
    times = ["/".join((t.findtext("beats") or "", t.findtext("beat-type") or "")) for t in root.iter("time")]
    pages = [read_page(each.findall("measure")) for each in root.findall("part")]
    if first and first[0].get("number") == "0" and _is_full(parts):
        for page in pages:
            page[0].is_implicit = False  # it is played as a bar, whatever its number
    return BareScore([measure.get("number") or "" for measure in first], parts, times, pages)


def _is_full(parts: list[BarePart]) -> bool:
    """Whether the first bar is as long as its signature asks."""
    longest = max(part.bars[0].length for part in parts)
    beats, _, unit = next((part.bars[0].time for part in parts if part.bars[0].time), "").partition("/")
    is_plain = beats.isdecimal() and unit.isdecimal()
    return is_plain and (longest == 0 or longest * int(unit) >= 4 * int(beats))


def _align(parts: list[BarePart]) -> None:
    """Let each bar begin at the same time in every part: a part may leave the end of a bar empty."""
    start = Fraction(0)
    for at in range(max(len(part.bars) for part in parts)):
        here = [part.bars[at] for part in parts if at < len(part.bars)]
        for bar in here:
            bar.start = start
        start += max(bar.length for bar in here)


def _part(name: str, measures: list[ElementTree.Element], kit: dict[str | None, str]) -> BarePart:
    part, divisions, semitones, start = BarePart(name, [], []), 1, 0, Fraction(0)
    time, fifths, slurs = "", {1: 0}, dict[str, int]()
    for measure in measures:
        bar = BareBar(start, Fraction(0), fifths[1], dict(fifths), time=time)
        at = last = Fraction(0)
        for element in measure:
            part.staves = max(part.staves, int(element.findtext("staves") or 1))
            divisions = int(element.findtext("divisions") or divisions)
            for key in element.findall("key"):
                _key(key, bar, fifths, part.staves)
            if element.find("time/beats") is not None:
                time = bar.time = f"{element.findtext('time/beats')}/{element.findtext('time/beat-type')}"
            if element.find("transpose") is not None:
                octaves = int(element.findtext("transpose/octave-change") or 0)
                semitones = int(element.findtext("transpose/chromatic") or 0) + 12 * octaves
            length = Fraction(int(element.findtext("duration") or 0), divisions)
            if element.tag == "backup":
                at -= length
            elif element.tag == "forward":
                at += length
            elif element.tag == "direction":
                _direction(bar, element)
            elif element.tag == "barline" and element.find("fermata") is not None:
                held = part.bars[-1] if element.get("location") == "left" and part.bars else bar
                held.fermatas += 1
            elif element.tag == "note":
                is_chord = element.find("chord") is not None
                onset = last if is_chord else at
                _note(bar, element, onset, length, slurs, kit)
                if not is_chord and element.find("grace") is None:
                    last, at = at, at + length
            bar.length = max(bar.length, at)
        _strike_untied(bar, part.bars[-1].ends if part.bars else set())
        start += bar.length
        part.bars.append(bar)
        part.semitones.append(semitones)
    return part


def _key(key: ElementTree.Element, bar: BareBar, fifths: dict[int, int], staves: int) -> None:
    """A signature: for one staff where it has a number, else for all. Source: MusicXML 4.0, ``key``."""
    if key.find("fifths") is None:
        return
    number = key.get("number")
    for staff in [int(number)] if number else range(1, staves + 1):
        fifths[staff] = int(key.findtext("fifths") or 0)
    bar.key_changes = bar.key_changes or fifths[1] != bar.fifths
    bar.fifths, bar.staff_fifths = fifths[1], dict(fifths)


_BEFORE_A_SIGN = re.compile(r"(?:.*\b(?:più|piu|meno|plus|moins)|(?:un )?poco|quasi|un peu)", re.IGNORECASE)


def _marks(dynamics: ElementTree.Element) -> list[str]:
    """The marks of one element; "più" belongs to the sign that follows it."""
    found: list[str] = []
    for each in dynamics:
        text = (each.text or "").strip() if each.tag == "other-dynamics" else each.tag
        if found and _BEFORE_A_SIGN.fullmatch(found[-1]):
            text = f"{found.pop()} {text}"
        found.append(text)
    return found


def _direction(bar: BareBar, element: ElementTree.Element) -> None:
    for mark in element.iter("dynamics"):
        bar.marks += _marks(mark)
    bar.words += [(each.text or "").strip() for each in element.iter("words")]
    bar.swells += [wedge.get("type") or "" for wedge in element.iter("wedge")]
    for mark in element.iter("metronome"):
        bar.quarter_bpm = _quarter_bpm(mark) or bar.quarter_bpm


BEAT_UNITS = {"whole": 4, "half": 2, "quarter": 1, "eighth": Fraction(1, 2), "16th": Fraction(1, 4)}


def _quarter_bpm(mark: ElementTree.Element) -> Fraction:
    """Quarters a minute by a metronome mark; 0 where it names no plain number."""
    units = [each.text or "" for each in mark.findall("beat-unit")]
    number = (mark.findtext("per-minute") or "").strip()
    if len(units) != 1 or units[0] not in BEAT_UNITS or not number.isdecimal():
        return Fraction(0)
    dotted = Fraction(3, 2) if mark.find("beat-unit-dot") is not None else 1
    return int(number) * BEAT_UNITS[units[0]] * dotted


STYLE_MARKS = {
    "staccato": {"staccato", "staccatissimo", "spiccato"},
    "accented": {"accent", "strong-accent"},
    "tenuto": {"tenuto", "detached-legato"},
}
"""Articulations of each style beside the slur."""


def _styles(element: ElementTree.Element, slurs: dict[str, int]) -> list[str]:
    """How a note is played; ``slurs`` are those that are open, by voice."""
    if element.find("rest") is not None or element.find("cue") is not None:
        return []
    voice = element.findtext("voice") or "1"
    begun = [each.get("type") for each in element.iter("slur")]
    under = slurs.get(voice, 0) > 0 or "start" in begun
    slurs[voice] = max(0, slurs.get(voice, 0) + begun.count("start") - begun.count("stop"))
    marks = {mark.tag for each in element.iter("articulations") for mark in each}
    styles = [style for style, names in STYLE_MARKS.items() if names & marks]
    if under and "staccato" not in styles:
        styles.append("slurred")
    return styles


def _note(
    bar: BareBar,
    element: ElementTree.Element,
    onset: Fraction,
    length: Fraction,
    slurs: dict[str, int],
    kit: dict[str | None, str],
) -> None:
    styles = _styles(element, slurs)
    is_struck = not any(tie.get("type") == "stop" for tie in element.findall("tie"))
    if element.find("chord") is None:
        bar.articulations += [each.tag for marks in element.iter("articulations") for each in marks]
    for mark in element.iter("dynamics"):
        bar.marks += _marks(mark)
    bar.fermatas += sum(1 for _ in element.iter("fermata"))
    pitch = element.find("pitch")
    is_printed = element.get("print-object") != "no"
    if element.find("cue") is not None and pitch is not None and is_printed:
        bar.cued.append(_bare(element, pitch, onset, length))
    if element.find("cue") is not None or not is_printed:
        return
    bar.rolls += max((int(each.text or 0) for each in element.iter("tremolo")), default=0) >= 3
    bar.trills += any(each.tag == "trill-mark" for each in element.iter())
    bar.fingered += any(each.tag in ("fingering", "string") for each in element.iter())
    place = element.find("unpitched")
    if place is not None:
        line = f"{place.findtext('display-step')}{place.findtext('display-octave')}"
        of = element.find("instrument")
        bar.drum_heads.append((onset, length, "" if of is None else kit.get(of.get("id"), ""), line))
    if element.find("unpitched") is not None and element.find("grace") is None and is_struck:
        bar.hits.append(onset)
        struck = element.find("instrument")
        bar.strokes.append("" if struck is None else kit.get(struck.get("id"), ""))
        if element.find("chord") is None:
            bar.chords += 1
            for style in styles:
                bar.styles[style] = bar.styles.get(style, 0) + 1
    if pitch is None:
        return
    note = _bare(element, pitch, onset, length)
    if element.find("grace") is not None:
        bar.graces.append(note)
        if any(tie.get("type") == "start" for tie in element.findall("tie")):
            bar.ends.add((bar.start + onset, note.midi))  # held on by the note that it leads to
        return
    bar.sounding.append(note)
    bar.ends.add((bar.start + onset + length, note.midi))
    bar.waiting.append((note, is_struck, None if element.find("chord") is not None else styles))


def _bare(
    element: ElementTree.Element, pitch: ElementTree.Element, onset: Fraction, length: Fraction
) -> Bare:
    return Bare(
        onset, pitch.findtext("step") or "", int(float(pitch.findtext("alter") or 0)),
        int(pitch.findtext("octave") or 0), length, element.find("accidental") is not None,
        int(element.findtext("staff") or 1), element.findtext("voice") or "1",
    )  # fmt: skip


def _strike_untied(bar: BareBar, ends: set[tuple[Fraction, int]]) -> None:
    """Settle what is struck in a bar when all its voices are read: a tie from nowhere is none."""
    for note, is_struck, styles in bar.waiting:
        if is_struck or (bar.start + note.onset, note.midi) not in ends | bar.ends:
            bar.struck.append(note)
            if styles is not None:
                bar.chords += 1
                for style in styles:
                    bar.styles[style] = bar.styles.get(style, 0) + 1
    bar.waiting.clear()
