"""How the piece is built: sections that are alike, phrases, and where the opening returns."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from planner.analysis.columns import Columns, Floats, Ints
from planner.analysis.harmony import HarmonyStudy
from planner.analysis.phrases import find_phrases, leading_line
from planner.analysis.sonority import heads_of
from planner.analysis.strings import maximal_repeats
from planner.analysis.talk import bars, counted, listed
from planner.core.profile import FormSection, Phrase, Statement

ALIKE, VARIANT = 0.88, 0.6
"""Likeness from which two sections share a letter, and from which one is a variant (house choice)."""
LEAST_SECTION = 4
"""Fewest measures of a section (house choice: a phrase)."""
LONG_REPEAT = 8
"""Fewest measures of a repeated stretch that shows a section where the page shows none (house choice)."""
OPENING = 4
"""Measures that make up the opening when looking for its return (house choice: a phrase)."""


@dataclass(frozen=True, slots=True)
class FormStudy:
    """Sections with letters, phrases of the melody, and sentences."""

    sections: tuple[FormSection, ...] = ()
    phrases: tuple[Phrase, ...] = ()
    statements: tuple[Statement, ...] = ()


def find_form(columns: Columns, harmony: HarmonyStudy) -> FormStudy:
    """Sections, phrases and the return of the opening.

    Example:
        >>> from planner.analysis.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_form(columns_of(Score("Empty", (), ())), HarmonyStudy()).sections
        ()
    """
    measures = len(columns.score.measures)
    if not measures or leading_line(columns) is None:
        return FormStudy()
    prints = bar_prints(columns, harmony)
    symbols = _bar_symbols(columns)
    returns = _returns(symbols)
    cuts = _cuts(columns, symbols, returns)
    sections = _letters(prints, cuts, measures)
    phrases = find_phrases(columns, harmony.cadences, cuts)
    return FormStudy(sections, phrases, _statements(columns, sections, phrases, returns))


_SLOTS = 8


def bar_prints(columns: Columns, harmony: HarmonyStudy) -> Floats:
    """What each measure sounds like, rows of length 1: melody, harmony and rhythm in equal shares.

    Shape ``(n_measures, 96 + 12 + 8)``: pitch classes of the leading line in eighths of the measure, roots of
    the chords by time, and how much is struck in each eighth of the measure.
    """
    measures = len(columns.measure_start)
    line, heads = leading_line(columns), heads_of(columns)
    assert line is not None
    length = np.maximum(columns.measure_length, 1)

    def slot(onset: Ints, measure: Ints) -> Ints:
        place = (onset - columns.measure_start[measure]) * _SLOTS // length[measure]
        return np.asarray(np.clip(place, 0, _SLOTS - 1), dtype=np.int64)

    pitch = np.rint(line.sounding).astype(np.int64) % 12
    melody = np.bincount(
        line.measure * 96 + slot(line.onset, line.measure) * 12 + pitch, minlength=measures * 96
    ).reshape(measures, 96)
    rhythm = np.bincount(
        heads.measure * _SLOTS + slot(heads.onset, heads.measure), minlength=measures * _SLOTS
    ).reshape(measures, _SLOTS)
    blocks = [melody, _root_prints(columns, harmony), np.sqrt(rhythm)]
    whole = np.concatenate([_unit(block.astype(np.float64)) for block in blocks], axis=1)
    return np.asarray(whole / np.sqrt(3), dtype=np.float64)


def _root_prints(columns: Columns, harmony: HarmonyStudy) -> Floats:
    """Time of each chord root in each measure, shape ``(n_measures, 12)``."""
    letters = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
    roots = np.zeros((len(columns.measure_start), 12))
    for span in harmony.spans:
        root = letters[span.root[0]] + span.root.count("#") - span.root.count("b")
        roots[span.measure, root % 12] += 1.0
    return roots


def _unit(table: Floats) -> Floats:
    norm = np.linalg.norm(table, axis=1, keepdims=True)
    return np.asarray(table / np.maximum(norm, 1e-9), dtype=np.float64)


def _bar_symbols(columns: Columns) -> Ints:
    """One number a measure: the same where the leading line has the same notes; silent measures differ."""
    line = leading_line(columns)
    assert line is not None
    measures = len(columns.measure_start)
    seen: dict[tuple[float, ...], int] = {}
    edges = np.searchsorted(line.measure, np.arange(measures + 1)).tolist()
    offset = (line.onset - columns.measure_start[line.measure]).tolist()
    pitch, length = line.sounding.tolist(), line.duration.tolist()
    symbols = []
    for measure in range(measures):
        inside = range(edges[measure], edges[measure + 1])
        figure = tuple(x for at in inside for x in (offset[at], pitch[at], length[at]))
        symbols.append(seen.setdefault(figure or (-1.0, measure), len(seen)))
    return np.array(symbols, dtype=np.int64)


def _returns(symbols: Ints) -> list[int]:
    """Measures at which the opening of the leading line comes again, note for note, for four measures."""
    first = 0
    while first + OPENING < len(symbols) and len(set(symbols[first : first + OPENING].tolist())) < 2:
        first += 1
    opening = symbols[first : first + OPENING]
    if len(opening) < OPENING:
        return []
    found, at = [], first + OPENING
    while at + OPENING <= len(symbols):
        if np.array_equal(symbols[at : at + OPENING], opening):
            found.append(at - first)
            at += OPENING
        else:
            at += 1
    return found


def _cuts(columns: Columns, symbols: Ints, returns: list[int]) -> list[int]:
    """First measures of sections: what the page shows, the return of the opening, and long repeats."""
    count = len(columns.score.measures)
    strong = _printed_cuts(columns) | {0}
    strong |= {at for before, at in pairwise([-LONG_REPEAT, *returns]) if at - before > LONG_REPEAT}
    weak: set[int] = set()
    if len(strong) == 1:
        for repeat in maximal_repeats(symbols, least=LONG_REPEAT):
            weak |= set(repeat.starts) | {start + repeat.length for start in repeat.starts}
    kept: list[int] = []
    for cut in sorted(strong | weak):
        fits = 0 <= cut < count and (not cut or cut in strong or count - cut >= LEAST_SECTION)
        if fits and (not kept or cut - kept[-1] >= LEAST_SECTION):
            kept.append(cut)
    return kept


def _printed_cuts(columns: Columns) -> set[int]:
    """Measures at which the page shows a new section."""
    cuts = set()
    for measure in columns.score.measures:
        if measure.rehearsal or measure.time_changes:
            cuts.add(measure.index)
        if measure.right_bar in ("light-light", "light-heavy"):
            cuts.add(measure.index + 1)
    for mark in columns.score.marks:
        if mark.kind == "repeat-start":
            cuts.add(mark.measure)
        elif mark.kind == "repeat-end":
            cuts.add(mark.measure + 1)
    return cuts


def _letters(prints: Floats, cuts: list[int], measures: int) -> tuple[FormSection, ...]:
    """A letter for each section; the same for sections that are alike, with a prime for a variant."""
    known: list[tuple[int, int, str]] = []
    sections: list[FormSection] = []
    primes: dict[str, int] = {}
    for begin, end in zip(cuts, [*cuts[1:], measures], strict=True):
        best, label = 0.0, ""
        for first, last, name in known:
            likeness = section_likeness(prints, (first, last), (begin, end))
            if likeness > best:
                best, label = likeness, name
        if best >= ALIKE:
            sections.append(FormSection(label, begin, end - 1))
        elif best >= VARIANT:
            base = label.rstrip("′")
            primes[base] = primes.get(base, 0) + 1
            label = base + "′" * primes[base]
            known.append((begin, end, label))
            sections.append(FormSection(label, begin, end - 1))
        else:
            number = len({name.rstrip("′") for _, _, name in known})
            label = chr(ord("A") + number % 26) * (1 + number // 26)
            known.append((begin, end, label))
            sections.append(FormSection(label, begin, end - 1))
    return tuple(sections)


def section_likeness(prints: Floats, one: tuple[int, int], two: tuple[int, int]) -> float:
    """Mean likeness of two sections, measure by measure from their beginnings, 0 to 1.

    Extra measures of the longer one count 0; but sections that open alike are at least variants.
    """
    size = min(one[1] - one[0], two[1] - two[0])
    alike = (prints[one[0] : one[0] + size] * prints[two[0] : two[0] + size]).sum(axis=1)
    whole = float(alike.sum()) / max(one[1] - one[0], two[1] - two[0])
    head = float(alike[:OPENING].mean()) if size >= OPENING else 0.0
    return max(whole, VARIANT) if head >= ALIKE else whole


def _statements(
    columns: Columns, sections: tuple[FormSection, ...], phrases: tuple[Phrase, ...], returns: list[int]
) -> tuple[Statement, ...]:
    said = []
    if len(sections) > 1:
        told = ", ".join(f"{s.label} ({bars(columns, s.measure, s.end_measure)})" for s in sections[:12])
        more = " and so on" if len(sections) > 12 else ""
        said.append(Statement("form", f"Sections: {told}{more}."))
    if returns:
        where = listed(tuple(columns.score.measure_number(at) for at in returns[:6]))
        plural = "bar" if len(returns) == 1 else "bars"
        said.append(Statement("form", f"The opening melody returns in {plural} {where}.", measure=returns[0]))
    if len(phrases) > 1:
        said.append(Statement("form", _phrase_sentence(phrases)))
    return tuple(said)


def _phrase_sentence(phrases: tuple[Phrase, ...]) -> str:
    lengths = [phrase.end_measure - phrase.measure + 1 for phrase in phrases]
    if len(set(lengths)) == 1:
        return f"All {counted(len(lengths))} phrases have {counted(lengths[0])} bars."
    if len(lengths) <= 8:
        return f"Phrases of {listed(tuple(counted(n) for n in lengths))} bars."
    usual = max(set(lengths), key=lambda n: (lengths.count(n), -n))
    return f"{lengths.count(usual)} of the {len(lengths)} phrases have {counted(usual)} bars."
