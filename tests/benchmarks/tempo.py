"""What is kept of the tempos on the page, against the bare XML of every score in the reference data.

The truth is read here with lxml alone: metronome marks and numbers in words where the music begins, and
what stands between a slowing and the *a tempo* after it.
"""

import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from math import exp, log
from pathlib import Path

from lxml import etree

from planner.adapters.scores.reader import read_score
from planner.core.score import Score
from planner.errors import PlannerError
from planner.study.notes.columns import columns_of
from planner.study.time.meter import find_meters
from planner.study.time.tempo import TempoStudy, find_tempo
from tests.benchmarks.rows import Row
from tests.reference import reference_folder

NOTES = {
    "breve": 8.0, "whole": 4.0, "half": 2.0, "quarter": 1.0, "eighth": 0.5, "16th": 0.25, "32nd": 0.125,
}  # fmt: skip
GLYPHS = {
    **dict.fromkeys("\ueca3\ueca4\U0001d15e", 2.0), **dict.fromkeys("\ueca5\ueca6♩", 1.0),
    **dict.fromkeys("\ueca7\ueca8♪", 0.5),
}  # fmt: skip
IN_WORDS = re.compile(
    rf"([{''.join(GLYPHS)}])\s*([.\uecb7]?)\s*(?:=|about|ca\.?|c\.)\s*(?:about|ca\.?|c\.)?\s*(\d+(?:\.\d+)?)"
)
SLOWING = re.compile(
    r"\b(rit|riten|ritard|ritardando|ritenuto|rall|rallent|rallentando|allarg|allargando|slentando|ralentir"
    r"|cédez|retenu|zurückhaltend|zögernd)\b",
    re.IGNORECASE,
)
BACK = re.compile(
    r"\ba tempo\b(?! 1)|^\W*tempo\W*$|\bim (?:tempo|zeitma(?:ß|ss))\b|\bau mouv|\bin tempo\b", re.IGNORECASE
)
FORBIDS = re.compile(
    r"\b(sans|senza|nicht|ohne|non|without|di|primo|deciso)\b|\btempo i\b|moins|meno|più", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Said:
    """A direction: its place in measures and quarters, its words, its printed number, its playback number."""

    measure: int
    onset: Fraction
    words: str
    number: float | None
    played: float | None
    is_equation: bool = False


@dataclass(frozen=True, slots=True)
class BareFile:
    """The directions of all parts in order, and the last measure of the opening."""

    said: tuple[Said, ...]
    opening: int


def bare_file(path: Path) -> BareFile | None:
    """The directions of a file; None where it is not partwise MusicXML."""
    data = path.read_bytes()
    if data[:2] == b"PK":
        with zipfile.ZipFile(path) as archive:
            inner = [
                name
                for name in archive.namelist()
                if name.endswith("xml") and not name.startswith("META-INF")
            ]
            data = archive.read(inner[0])
    try:
        root = etree.fromstring(data, etree.XMLParser(huge_tree=True))
    except etree.XMLSyntaxError:
        return None
    said: list[Said] = []
    sounding, pickups = set(), set()
    for part in root.findall("part"):
        divisions = Fraction(1)
        for at, measure in enumerate(part.findall("measure")):
            if measure.get("implicit") == "yes":
                pickups.add(at)
            if measure.xpath("note[pitch or unpitched]"):
                sounding.add(at)
            clock = Fraction(0)
            for child in measure:
                found = child.findtext("divisions") if child.tag == "attributes" else None
                divisions = Fraction(found) if found else divisions
                length = Fraction(child.findtext("duration") or "0") / divisions
                if child.tag == "direction":
                    offset = Fraction(child.findtext("offset") or "0") / divisions
                    said.append(_said(child, at, clock + offset))
                elif (child.tag == "note" and child.find("chord") is None) or child.tag == "forward":
                    clock += length
                elif child.tag == "backup":
                    clock -= length
    if not sounding:
        return None
    first = min(sounding)
    return BareFile(
        tuple(sorted(said, key=lambda each: (each.measure, each.onset))), first + (first in pickups)
    )


def kern_file(path: Path) -> BareFile | None:
    """What a kern file says of the tempo above its music; None where it has no number."""
    text = path.read_text(encoding="utf-8", errors="replace").split("\n**")[0]
    found = re.search(r"^!!!OMD.*\[([a-z]+)(-dot)?\]\s*=\s*(\d+)", text, re.MULTILINE)
    if found is None:
        return None
    number = NOTES[found[1]] * (1.5 if found[2] else 1) * float(found[3])
    return BareFile((Said(0, Fraction(0), "", number, None),), 0)


def _said(direction: etree._Element, measure: int, onset: Fraction) -> Said:
    words = " ".join("".join(each.itertext()) for each in direction.iter("words"))
    number = None
    for mark in direction.iter("metronome"):
        units, dots = mark.findall("beat-unit"), len(mark.findall("beat-unit-dot"))
        figure = re.search(r"\d+(?:\.\d+)?", mark.findtext("per-minute") or re.sub(r"\D+(?=\d\d)", "", words))
        if len(units) == 1 and figure and units[0].text in NOTES and direction.get("print-object") != "no":
            number = NOTES[str(units[0].text)] * (2 - 0.5**dots) * float(figure.group())
            break
    if number is None and (figure := IN_WORDS.search(words)):
        number = GLYPHS[figure[1]] * (1.5 if figure[2] else 1) * float(figure[3])
    sound = direction.find("sound")
    played = float(sound.get("tempo", 0)) or None if sound is not None else None
    is_equation = any(len(mark.findall("beat-unit")) == 2 for mark in direction.iter("metronome"))
    return Said(measure, onset, " ".join(words.split()), number, played, is_equation)


@dataclass(frozen=True, slots=True)
class Studied:
    """A score with what its bare file says."""

    path: Path
    score: Score
    bare: BareFile
    tempo: TempoStudy

    def speed_at(self, measure: int, onset: Fraction, *, before: bool = False) -> float:
        """Quarters a minute that the study has at a place, or just before it."""
        here = self.tempo.spans[0]
        for span in self.tempo.spans[1:]:
            at = (span.measure, span.onset)
            if at < (measure, onset) or (not before and at == (measure, onset)):
                here = span
        return here.speed.quarter_bpm


def paths() -> list[Path]:
    """Every MusicXML and kern file of the reference data, each name once."""
    root = reference_folder()
    if root is None:
        return []
    found: dict[str, Path] = {}
    for path in sorted(root.rglob("*")):
        if path.suffix in (".mxl", ".musicxml", ".xml", ".krn"):
            found.setdefault(path.name, path)
    return list(found.values())


def study_tempo(score: Score) -> TempoStudy:
    """The study's tempos of a score."""
    columns = columns_of(score)
    return find_tempo(columns, find_meters(columns).spans)


@cache
def studied() -> tuple[Studied, ...]:
    """Every file that prints a number where it begins or has an *a tempo*."""
    found = []
    for path in paths():
        bare = kern_file(path) if path.suffix == ".krn" else bare_file(path)
        if bare is None or not (opening_number(bare) or any(BACK.search(each.words) for each in bare.said)):
            continue
        try:
            score = read_score(path)
        except PlannerError:
            continue
        if isinstance(score, Score) and score.measures:
            found.append(Studied(path, score, bare, study_tempo(score)))
    return tuple(found)


def opening_number(bare: BareFile) -> float | None:
    """Quarters a minute of the first number printed where the music begins."""
    return next((each.number for each in bare.said if each.measure <= bare.opening and each.number), None)


def openings() -> list[tuple[Studied, float, float]]:
    """Every file with a number at its beginning: quarters a minute as printed and as studied."""
    return [
        (each, number, each.tempo.spans[0].speed.quarter_bpm)
        for each in studied()
        if (number := opening_number(each.bare)) is not None
    ]


@dataclass(frozen=True, slots=True)
class Return:
    """A slowing and the *a tempo* after it, with nothing else about tempo between them."""

    of: Studied
    slowing: Said
    back: Said

    @property
    def before(self) -> float:
        """Quarters a minute just before the slowing."""
        return self.of.speed_at(self.slowing.measure, self.slowing.onset, before=True)

    @property
    def after(self) -> float:
        """Quarters a minute at the *a tempo*."""
        return self.of.speed_at(self.back.measure, self.back.onset)

    @property
    def holds(self) -> bool:
        """Whether it is the speed of before."""
        return abs(self.after / self.before - 1) < 0.005

    @property
    def is_told(self) -> bool:
        """Whether the file's playback names an earlier tempo of the piece than that before the slowing."""
        played = self.back.played
        if played is None or abs(played / self.before - 1) < 0.04:
            return False
        earlier = [
            span.speed.quarter_bpm
            for span in self.of.tempo.spans
            if (span.measure, span.onset) <= (self.slowing.measure, self.slowing.onset)
        ]
        return any(abs(played / each - 1) < 0.04 for each in earlier)


def returns_of(each: Studied) -> Iterator[Return]:
    """Slowings of one file with the first *a tempo* after each; none with a number or other words between."""
    words = [said for said in each.bare.said if said.words or said.number or said.is_equation]
    slowing: Said | None = None
    for said in words:
        if said.number is not None or said.is_equation:
            slowing = None
        elif (
            BACK.search(said.words)
            and not FORBIDS.search(said.words)
            and not is_tempo_word(BACK.sub("", said.words))
        ):
            if slowing is not None:
                yield Return(each, slowing, said)
            slowing = None
        elif SLOWING.search(said.words) and not FORBIDS.search(said.words):
            slowing = slowing or said
        elif slowing is not None and is_tempo_word(said.words):
            slowing = None


OTHER = re.compile(
    r"\b(grave|largo|lento|larghetto|adagio|andant\w+|moderato|allegr\w+|vivace|presto|prestissimo|tempo|mosso"
    r"|lent|vite|vif|modéré|animé|langsam\w*|schnell\w*|lebhaft\w*|mäßig|bewegt\w*|ruhig\w*|slow\w*|fast\w*)\b",
    re.IGNORECASE,
)


def is_tempo_word(words: str) -> bool:
    """Whether words may set another tempo."""
    return OTHER.search(words) is not None


def returns() -> list[Return]:
    """All returns of the data."""
    return [found for each in studied() for found in returns_of(each)]


def held_out(path: Path) -> bool:
    """Half of the files, on which nothing was tuned: every second name of its folder."""
    return sorted(each.name for each in path.parent.iterdir()).index(path.name) % 2 == 1


def worded() -> list[tuple[Studied, float, TempoStudy]]:
    """Files that print words and a number at the beginning, with what the words alone give."""
    found = {}
    for each, number, _ in openings():
        hidden = tuple(
            replace(mark, bpm=None, beat_unit_quarters=None, quarter_bpm=None) for mark in each.score.tempos
        )
        alone = study_tempo(replace(each.score, tempos=hidden))
        if alone.tempo.source == "words":
            found.setdefault((alone.tempo.words, number), (each, number, alone))
    return list(found.values())


def rows() -> list[Row]:
    """The figures."""
    begins = openings()
    if not begins:
        return []
    kept = [abs(ours / number - 1) < 0.005 for _, number, ours in begins]
    plain = [each for each in returns() if not each.is_told]
    told = [each for each in returns() if each.is_told]
    found = [
        Row(f"printed number of the opening kept, of {len(begins)} files", sum(kept) / len(kept), 1.0),
        Row(f"speed after “a tempo” as before the slowing, of {len(plain)}", _share(plain), 1.0),
        Row(f"the earlier one that playback names, of {len(told)} others", _told(told), 1.0),
    ]
    for name, is_held in (("tuned on", False), ("held out", True)):
        words = [each for each in worded() if held_out(each[0].path) is is_held]
        inside = [is_inside(number, alone) for _, number, alone in words]
        far = [abs(log(number / alone.spans[0].speed.quarter_bpm)) for _, number, alone in words]
        found.append(
            Row(
                f"printed number within what its words allow, {len(words)} {name}",
                sum(inside) / max(len(inside), 1),
                0.6 if is_held else None,
            )
        )
        found.append(
            Row("  mean ratio of the speed the words give", exp(sum(far) / max(len(far), 1)), unit="")
        )
    return found


def _share(back: list[Return]) -> float:
    return sum(each.holds for each in back) / max(len(back), 1)


def _told(told: list[Return]) -> float:
    right = [abs(each.after / (each.back.played or 1.0) - 1) < 0.04 for each in told]
    return sum(right) / max(len(right), 1)


def is_inside(number: float, alone: TempoStudy) -> bool:
    """Within the range of the words, a tenth to each side (tables disagree by more)."""
    unit = float(alone.unit_quarters)
    low, high = alone.tempo.low or 0.0, alone.tempo.high or 0.0
    return 0.9 * low * unit <= number <= 1.1 * high * unit
