"""Human Roman-numeral analyses beside their scores: keys and functions as analysts wrote them.

Two sets. The twenty chorales and forty-eight madrigals that music21 carries as
RomanText (analyses by D. Tymoczko and students), and the songs of the reference data
(scores OpenScore CC0, analyses M. Gotham and others, CC BY-SA 4.0).
"""

import re
import warnings
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from music21 import converter, corpus

from planner.core.score import Score
from planner.study.notes.columns import TICKS_PER_QUARTER, columns_of
from planner.study.notes.sonority import heads_of
from planner.study.tonal.chords import lof_name
from tests.reference import reference_folder

FUNCTION_OF_DEGREE = {1: "tonic", 2: "predominant", 4: "predominant", 5: "dominant", 7: "dominant"}
"""T = I; PD = ii, IV, flat II, augmented sixths; D = V, vii; vi and iii stand apart.

Source: grouping of the chord counts of When in Rome (doi 10.5334/tismir.165).
"""


_BWV_FILES = {"248(2).12": "248.12-2", "41.6s": "41.6"}
"""Catalogue numbers that music21 files under another name."""


@dataclass(frozen=True, slots=True)
class HumanSpan:
    """What the analyst wrote from ``start`` to ``end``, in quarters from the start of the score."""

    start: float
    end: float
    key: str
    function: str
    figure: str


@dataclass(frozen=True, slots=True)
class Pair:
    """A score file with its human analysis."""

    name: str
    score: Path
    analysis: Path


def chorale_pairs() -> list[Pair]:
    """The chorales of music21's corpus that have an analysis (Riemenschneider 1-20)."""
    folder = Path(corpus.getWork("bach/choraleAnalyses/riemenschneider001.rntxt")).parent
    pairs = []
    for analysis in sorted(folder.glob("*.rntxt")):
        bwv = next(line for line in analysis.read_text().splitlines() if line.startswith("BWV"))
        number = _BWV_FILES.get(raw := bwv.split(":")[1].strip(), raw)
        score = folder.parent / f"bwv{number}.mxl"
        pairs.append(Pair(f"chorale {analysis.stem[-3:]}", score, analysis))
    return pairs


def madrigal_pairs() -> list[Pair]:
    """The madrigals of music21's corpus that have an analysis."""
    folder = Path(corpus.getWork("monteverdi/madrigal.3.1.rntxt")).parent
    return [
        Pair(f.stem, f.with_suffix(".mxl"), f)
        for f in sorted(folder.glob("*.rntxt"))
        if f.with_suffix(".mxl").exists()
    ]


def song_pairs() -> list[Pair]:
    """The songs of the reference data; empty where that folder is missing."""
    root = reference_folder()
    if root is None:
        return []
    files = sorted((root / "roman_numerals_ccbysa").glob("*.analysis.txt"))
    return [Pair(f.name[:24], f.with_name(f.name.replace(".analysis.txt", ".mxl")), f) for f in files]


def human_function(numeral: Any) -> str:
    """Function of a music21 Roman numeral by the grouping above.

    An applied chord counts by its own numeral (V/V is a dominant); a tonic with the fifth
    in the bass before a dominant is the cadential six-four, a dominant (common practice).
    """
    name = numeral.romanNumeralAlone
    if name.startswith(("It", "Ger", "Fr", "Sw")):
        return "predominant"
    if name == "Cad" or (
        numeral.scaleDegree == 1 and not numeral.secondaryRomanNumeral and _is_cadential(numeral)
    ):
        return "dominant"
    return FUNCTION_OF_DEGREE.get(numeral.scaleDegree, "other")


def _is_cadential(numeral: Any) -> bool:
    after = numeral.editorial.get("followed_by", "")
    return numeral.inversion() == 2 and after == "V"


def human_spans(pair: Pair, score: Score) -> list[HumanSpan]:
    """The analysis as spans on the score's own time, or nothing where it is of another edition.

    The analyst's bar numbers are looked up among the printed ones; a pickup printed as
    bar 1 is bar 0 to the analyst. Some analyses are in another key than the score
    (another edition): they are moved to the key in which their chords fit the notes.
    A pair whose chords fit less than ``LEAST_FIT`` of the sounding time is left out.
    """
    bars = _bars(score, pair)
    placed = sorted(_placed(pair, bars), key=lambda item: item[0])
    spans, classes = [], []
    for (start, numeral), (end, _) in zip(placed, [*placed[1:], (bars[""], None)], strict=True):
        if end > start:
            spans.append(
                HumanSpan(start, end, key_name(numeral.key), human_function(numeral), numeral.figure)
            )
            classes.append(set(numeral.pitchClasses))
    shift, fit = best_fit(score, spans, classes)
    if fit < LEAST_FIT:
        return []
    return [replace(span, key=_moved(span.key, shift)) for span in spans] if shift else spans


LEAST_FIT = 0.8
"""Least share of sounding time the analyst's chords explain (house choice; good pairs reach 0.85 to 1)."""


def best_fit(score: Score, spans: list[HumanSpan], classes: list[set[int]]) -> tuple[int, float]:
    """Semitones by which the analysis must be moved to fit the notes best, and how well it then fits."""
    heads = heads_of(columns_of(score))
    onset, end = heads.onset / TICKS_PER_QUARTER, heads.end / TICKS_PER_QUARTER
    inside, total = np.zeros(12), 1e-9
    for span, chord in zip(spans, classes, strict=True):
        sounding = np.maximum(np.minimum(end, span.end) - np.maximum(onset, span.start), 0)
        total += sounding.sum()
        for shift in range(12):
            fits = np.isin((heads.midi - shift) % 12, list(chord))
            inside[shift] += sounding[fits].sum()
    fit = inside / total
    return (0, float(fit[0])) if fit[0] >= LEAST_FIT else (int(fit.argmax()), float(fit.max()))


def _moved(key: str, shift: int) -> str:
    tonic, _, mode = key.partition(" ")
    lof = next(at for at in range(-12, 20) if lof_name(at) == tonic)
    best = min((lof + 7 * shift + 12 * turn for turn in range(-6, 7)), key=lambda at: abs(at - 1.5))
    return f"{lof_name(best)} {mode}"


def _bars(score: Score, pair: Pair) -> dict[str, float]:
    """Start of each bar in quarters, by the analyst's number; ``""`` holds the end.

    Some scores are numbered otherwise: a pickup printed as bar 1, a whole first bar printed as bar 0, and
    second endings whose numbers run on where the analyst counts both endings alike (5a and 5b).
    """
    first = score.measures[0]
    text = pair.analysis.read_text(encoding="utf-8")
    is_whole = first.length_quarters == first.time.length_quarters
    shift = 0
    if not is_whole and first.number == "1" and re.search(r"^m0 ", text, re.MULTILINE):
        shift = 1
    elif is_whole and first.number == "0" and not re.search(r"^m0 ", text, re.MULTILINE):
        shift = -1
    printed = {measure.number for measure in score.measures}
    endings = [] if any(n[-1:].isalpha() for n in printed) else _endings(text)
    bars: dict[str, float] = {}
    run: list[str] = []
    for measure in score.measures:
        if measure.number.isdigit():
            number = str(int(measure.number) - shift)
            if endings and endings[0][0] == f"{number}a":
                run = endings.pop(0)
                shift += sum(label.endswith("b") for label in run)
            number = run.pop(0) if run else number
        else:
            number = measure.number
        bars.setdefault(number, float(measure.start_quarters))
    last = score.measures[-1]
    bars[""] = float(last.start_quarters + last.length_quarters)
    return bars


def _endings(text: str) -> list[list[str]]:
    """First and second endings as the analyst numbers them: ``[["5a", "5b"]]``; with no second, nothing."""
    runs: list[list[str]] = []
    for label in re.findall(r"^m(\d+[ab])\b", text, re.MULTILINE):
        if label.endswith("a") and (not runs or runs[-1][-1].endswith("b")):
            runs.append([])
        if runs:
            runs[-1].append(label)
    return [run for run in runs if run[-1].endswith("b")]


def key_name(key: Any) -> str:
    """A key of music21's as the profile writes it."""
    return f"{key.tonic.name.replace('-', 'b')} {key.mode}"


def _placed(pair: Pair, bars: dict[str, float]) -> Iterator[tuple[float, Any]]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        analysis = converter.parse(pair.analysis, format="romanText", forceSource=True)
    numerals = list(analysis.recurse().getElementsByClass("RomanNumeral"))
    for numeral, following in zip(numerals, [*numerals[1:], None], strict=True):
        if following is not None and following.scaleDegree == 5 and following.key == numeral.key:
            numeral.editorial["followed_by"] = "V"
        measure = numeral.getContextByClass("Measure")
        number = measure.measureNumberWithSuffix()
        if number in bars:
            yield bars[number] + float(numeral.getOffsetInHierarchy(measure)), numeral


def human_keys(pair: Pair, score: Score) -> tuple[str, str]:
    """First and last key of an analysis, moved to the key of the score where the edition differs.

    Unlike ``human_spans`` it needs no agreement of the bar numbers: where the chords fit in no
    key, the analyst's own keys are given.
    """
    bars = _bars(score, pair)
    numerals = [numeral for _, numeral in sorted(_placed(pair, bars), key=lambda item: item[0])]
    spans = human_spans(pair, score)
    if spans:
        return spans[0].key, spans[-1].key
    return key_name(numerals[0].key), key_name(numerals[-1].key)
