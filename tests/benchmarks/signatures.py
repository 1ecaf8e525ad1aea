"""Whether every staff has the key signatures, accidentals and meters that the bare XML shows.

The other road is this module's own walk through the XML, which shares nothing with the project's reader.
Source of what is meant: MusicXML 4.0, elements ``key`` (without ``number`` for all staves of the part),
``time``, ``alter`` and ``accidental``.
"""

import warnings
import zipfile
from collections import defaultdict
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import NamedTuple

from lxml import etree

from planner.adapters.scores.reader import read_score
from planner.core.fact import Fact, FactKind
from planner.core.profile import AccidentalKind
from planner.core.score import Part, Score
from planner.study.notes.columns import columns_of
from planner.study.page.accidentals import accidentals_of
from planner.study.page.signatures import printed_signatures
from planner.study.time.meter import find_meters
from tests.benchmarks.rows import Row
from tests.reference import reference_folder, sampled

FOLDERS = ("ensembles", "songs", "keys", "melody_ccbysa", "roman_numerals_ccbysa", "repeats", "difficulty")
_ALTERED = {1: "FCGDAEB", -1: "BEADGCF"}


class BareSign(NamedTuple):
    """A key signature on one staff, at its time in quarters from the beginning of its measure."""

    measure: int
    onset: Fraction
    staff: int
    fifths: int


class BareHead(NamedTuple):
    """A head with a pitch: where it stands, its name, and whether it is struck and has a sign before it."""

    measure: int
    onset: Fraction
    staff: int
    name: str
    is_foreign: bool
    is_struck: bool


@dataclass
class BarePart:
    """What the XML of one part says, with nothing derived but the time of each thing."""

    staves: int = 1
    signs: list[BareSign] = field(default_factory=list)
    heads: list[BareHead] = field(default_factory=list)
    times: dict[int, str] = field(default_factory=dict)
    bars: int = 0

    def meters(self) -> list[str]:
        """The signature in force in each bar, empty before the first."""
        found, now = [], ""
        for at in range(self.bars):
            now = self.times.get(at, now)
            found.append(now)
        return found


def bare_root(path: Path) -> etree._Element:
    """The root of a MusicXML file, plain or compressed."""
    data = path.read_bytes()
    if path.suffix == ".mxl":
        with zipfile.ZipFile(path) as archive:
            inside = next(n for n in archive.namelist() if n.endswith("xml") and "META" not in n)
            data = archive.read(inside)
    return etree.fromstring(data, etree.XMLParser(huge_tree=True, resolve_entities=False))


def bare_parts(path: Path) -> list[BarePart]:
    """The parts of a partwise file."""
    return [_bare_part(element) for element in bare_root(path).findall("part")]


def _bare_part(element: etree._Element) -> BarePart:
    part = BarePart()
    numbers = [int(each.text or 1) for each in element.iter("staves", "staff")]
    part.staves = max([1, *numbers])
    fifths = dict.fromkeys(range(1, part.staves + 1), 0)
    divisions = 1
    for at, measure in enumerate(element.findall("measure")):
        now = last = Fraction(0)
        todo: list[tuple[Fraction, int, int, etree._Element | int]] = []
        for order, child in enumerate(measure):
            length = Fraction(child.findtext("duration") or 0)
            if child.tag == "attributes":
                divisions = int(child.findtext("divisions") or divisions)
                for key in child.findall("key"):
                    if key.findtext("fifths") is None or key.get("print-object") == "no":
                        continue
                    only = key.get("number")
                    for staff in [int(only)] if only else range(1, part.staves + 1):
                        sign = BareSign(at, now, staff, int(key.findtext("fifths") or 0))
                        part.signs.append(sign)
                        todo.append((now, 0, order, staff * 100 + sign.fifths + 50))
                for time in child.findall("time"):
                    if time.find("senza-misura") is None:
                        pairs = zip(time.findall("beats"), time.findall("beat-type"), strict=True)
                        part.times[at] = " + ".join(f"{beats.text}/{unit.text}" for beats, unit in pairs)
            elif child.tag == "backup":
                now -= length / divisions
            elif child.tag == "forward":
                now += length / divisions
            elif child.tag == "note":
                onset = last if child.find("chord") is not None else now
                todo.append((onset, 1, order, child))
                if child.find("chord") is None:
                    last, now = now, now + length / divisions
        part.bars += 1
        for onset, _, _, item in sorted(todo, key=lambda each: each[:3]):
            if isinstance(item, int):
                fifths[item // 100] = item % 100 - 50
            elif (head := _bare_head(item, at, onset, fifths)) is not None:
                part.heads.append(head)
    return part


def _bare_head(note: etree._Element, at: int, onset: Fraction, fifths: dict[int, int]) -> BareHead | None:
    """A head to be played; None for a rest, a cue, a head that is not printed and one without a letter."""
    step = note.findtext("pitch/step")
    if step is None or note.find("cue") is not None or note.get("print-object") == "no":
        return None
    alter = Fraction(note.findtext("pitch/alter") or 0)
    if alter.denominator != 1:
        return None
    staff = int(note.findtext("staff") or 1)
    signs = fifths[staff]
    way = 1 if signs > 0 else -1
    usual = sum(way for n in range(abs(signs)) if _ALTERED[way][n % 7] == step)
    name = step + ("#" * int(alter) if alter > 0 else "b" * -int(alter))
    is_struck = not any(tie.get("type") == "stop" for tie in note.findall("tie"))
    return BareHead(at, onset, staff, name, alter != usual, is_struck)


@cache
def reference_files() -> tuple[Path, ...]:
    """The scores to compare: every one in a whole sweep, else a seeded sample of each folder."""
    root = reference_folder()
    if root is None:
        return ()
    found: list[Path] = []
    for folder in FOLDERS:
        paths = [p for p in (root / folder).rglob("*") if p.suffix in (".mxl", ".musicxml", ".xml")]
        found += sampled(sorted(p for p in paths if "_result" not in p.stem), 12)
    return tuple(found)


def wrong_signatures(part: Part, bare: BarePart) -> set[BareSign]:
    """Signatures that only the study or only the XML has; of several at one place the last one holds."""
    theirs = {each[:3]: each for each in bare.signs}
    ours = (
        BareSign(each.measure, Fraction(each.offset_quarters), each.staff, each.fifths)
        for each in printed_signatures(part)
    )
    return set(theirs.values()) ^ set(ours)


def own_meters(part: Part, score: Score) -> list[str]:
    """The signature in each bar as the study tells it to a part: the score's, or its own."""
    found = [str(measure.time) for measure in score.measures]
    for fact in (fact for fact in meter_facts(score) if fact.part == part.name):
        for (first, last), meter in zip(fact.places, fact.terms, strict=True):
            found[first : last + 1] = [meter] * (last - first + 1)
    return found


def meter_facts(score: Score) -> list[Fact]:
    """What the study says of parts that have a meter of their own."""
    return [fact for fact in find_meters(columns_of(score)).facts if fact.kind is FactKind.OWN_METER]


def accidental_counts(part: Part, bare: BarePart) -> tuple[int, int, int]:
    """Notes stated outside the signature of their staff: how many rightly, in all, and by the XML."""
    stated: dict[tuple[int, str], int] = defaultdict(int)
    for use in accidentals_of(part):
        if use.kind is AccidentalKind.FIRST:
            for measure in use.measures:
                stated[measure, use.pitch] += 1
    true: set[tuple[int, str]] = {(h.measure, h.name) for h in bare.heads if h.is_foreign and h.is_struck}
    return len(true & stated.keys()), len(stated), len(true)


@dataclass
class Tally:
    """What was compared over all files."""

    signatures: int = 0
    wrong_signatures: int = 0
    stated: int = 0
    stated_rightly: int = 0
    foreign: int = 0
    keyboard_stated: int = 0
    keyboard_rightly: int = 0
    keyboard_foreign: int = 0
    files: int = 0
    bars: int = 0
    wrong_meters: int = 0
    faults: list[str] = field(default_factory=list)


def compare(path: Path, score: Score, tally: Tally) -> None:
    """Add one score to the tally."""
    tally.files += 1
    odd_ties = {issue.part for issue in score.issues if issue.slug == "tie-from-nowhere"}
    for part, bare in zip(score.parts, _in_list_order(path), strict=True):
        meters, own = bare.meters(), own_meters(part, score)
        tally.bars += sum(map(bool, meters))
        differ = [at for at, meter in enumerate(meters) if meter and meter != own[at]]
        tally.wrong_meters += len(differ)
        if differ:
            tally.faults.append(f"{path.name} {part.name}: meter in bar {differ[0]}")
        wrong = wrong_signatures(part, bare)
        tally.signatures += len({each[:3] for each in bare.signs})
        tally.wrong_signatures += len(wrong)
        if part.name in odd_ties:
            continue
        rightly, stated, foreign = accidental_counts(part, bare)
        tally.stated, tally.stated_rightly = tally.stated + stated, tally.stated_rightly + rightly
        tally.foreign += foreign
        if bare.staves > 1:
            tally.keyboard_stated += stated
            tally.keyboard_rightly += rightly
            tally.keyboard_foreign += foreign
        if wrong or stated != rightly or foreign != rightly:
            tally.faults.append(f"{path.name} {part.name}: {sorted(wrong)[:2]} {rightly}/{stated}/{foreign}")


def _in_list_order(path: Path) -> list[BarePart]:
    """The bare parts in the order of the part list, as the score has them."""
    root = bare_root(path)
    music = {each.get("id"): each for each in root.findall("part")}
    return [_bare_part(music[e.get("id")]) for e in root.iter("score-part") if e.get("id") in music]


@cache
def tally() -> Tally:
    """Everything compared."""
    found = Tally()
    for path in reference_files():
        compare(path, read_score(path), found)
    return found


def partitura_agreement() -> float:
    """Share of bars of sampled scores whose signature partitura reads alike in the first part.

    Where the file gives none partitura takes 4/4; those scores are left out.
    """
    import partitura

    same = bars = 0
    for path in sampled(reference_files(), 12):
        score = read_score(path)
        if any(issue.slug == "time-missing" for issue in score.issues):
            continue
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            part = partitura.load_score(str(path))[0]
        measures = sorted(part.iter_all(partitura.score.Measure), key=lambda each: each.start.t)
        for measure, other in zip(score.measures, measures, strict=False):
            beats, unit, *_ = (int(each) for each in part.time_signature_map(other.start.t))
            bars += 1
            same += str(measure.time) == f"{beats}/{unit}"
    return same / bars


def rows() -> list[Row]:
    """The figures."""
    found = tally()
    if not found.files:
        return []
    return [
        Row(f"key signatures of every staff as in the XML, {found.files} scores",
            1 - found.wrong_signatures / found.signatures, 1.0),
        Row("notes stated outside the signature that are", found.stated_rightly / found.stated, 1.0),
        Row("  of those there are, stated", found.stated_rightly / found.foreign, 1.0),
        Row("  the same, parts of several staves", found.keyboard_rightly / found.keyboard_stated, 1.0),
        Row("  of those there are, stated", found.keyboard_rightly / found.keyboard_foreign, 1.0),
        Row(f"meter of {found.bars} bars, part by part, as in the XML",
            1 - found.wrong_meters / found.bars, 1.0),
        Row("  and as another reader (partitura) has it, of sampled scores", partitura_agreement(), 1.0),
    ]  # fmt: skip
