"""How the piece is built: sections that are alike, phrases, and where the opening returns."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import CODA, INTRODUCTION, Cadence, FormSection, HarmonySpan, Phrase
from planner.study.form.boundaries import LEAST_SECTION, LONG_REPEAT, OPENING, boundaries_of
from planner.study.form.leading_line import leading_line
from planner.study.form.phrases import find_phrases
from planner.study.notes.columns import Columns, Floats, Ints
from planner.study.notes.sonority import heads_of

ALIKE, VARIANT = 0.88, 0.6
"""Likeness from which two sections share a letter, and from which one is a variant (house choice)."""
MOST_SECTIONS = 12
"""Most sections that are named one by one (house choice: more is no map)."""
MOST_RETURNS = 6
"""Most returns of the opening that are named (house choice)."""


@dataclass(frozen=True, slots=True)
class FormStudy:
    """Sections with letters, phrases of the melody, and the facts a reader may want of them."""

    sections: tuple[FormSection, ...] = ()
    phrases: tuple[Phrase, ...] = ()
    facts: tuple[Fact, ...] = ()


def find_form(columns: Columns, chords: Sequence[HarmonySpan], cadences: tuple[Cadence, ...]) -> FormStudy:
    """Sections, phrases and the return of the opening.

    Args:
        columns: The score.
        chords: Its chords, by which sections are compared.
        cadences: Its cadences, at which phrases end.

    Example:
        >>> from planner.study.notes.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_form(columns_of(Score("Empty", (), ())), (), ()).sections
        ()
    """
    measures = len(columns.score.measures)
    if not measures or leading_line(columns) is None:
        return FormStudy()
    prints = _bar_prints(columns, chords)
    starts, returns = boundaries_of(columns)
    sections = _letters(prints, starts, measures, _introduction(columns, starts, returns), returns)
    sections = _with_coda(columns, sections)
    phrases = find_phrases(columns, starts)
    return FormStudy(sections, phrases, tuple(_facts(sections, phrases, returns)))


_SLOTS = 8


def _bar_prints(columns: Columns, chords: Sequence[HarmonySpan]) -> Floats:
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
    blocks = [melody, _root_prints(columns, chords), np.sqrt(rhythm)]
    whole = np.concatenate([_unit(block.astype(np.float64)) for block in blocks], axis=1)
    return np.asarray(whole / np.sqrt(3), dtype=np.float64)


def _root_prints(columns: Columns, chords: Sequence[HarmonySpan]) -> Floats:
    """Time of each chord root in each measure, shape ``(n_measures, 12)``."""
    letters = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
    roots = np.zeros((len(columns.measure_start), 12))
    for span in chords:
        root = letters[span.root[0]] + span.root.count("#") - span.root.count("b")
        roots[span.measure, root % 12] += 1.0
    return roots


def _unit(table: Floats) -> Floats:
    norm = np.linalg.norm(table, axis=1, keepdims=True)
    return np.asarray(table / np.maximum(norm, 1e-9), dtype=np.float64)


def _introduction(columns: Columns, starts: Sequence[int], returns: Sequence[int]) -> int:
    """Measures of a short first section, not repeated and not heard again, before a long one; 0 without."""
    ends = [*starts[1:], len(columns.score.measures)]
    if len(starts) < 2 or returns or ends[0] > LEAST_SECTION or ends[1] - ends[0] < LONG_REPEAT:
        return 0
    again = any(mark.kind == "repeat-end" and mark.measure < ends[0] for mark in columns.score.marks)
    return 0 if again else ends[0]


def _letters(
    prints: Floats, starts: Sequence[int], measures: int, introduction: int, returns: Sequence[int]
) -> tuple[FormSection, ...]:
    """A letter for each section; the same for sections that are alike, with a prime for a variant."""
    known: list[tuple[int, int, str]] = []
    sections: list[FormSection] = []
    primes: dict[str, int] = {}
    if introduction and all(
        _likeness(prints, (0, introduction), section) < VARIANT
        for section in zip(starts[1:], [*starts[2:], measures], strict=True)
    ):
        sections.append(FormSection(INTRODUCTION, 0, introduction - 1))
        starts = starts[1:]
    for begin, end in zip(starts, [*starts[1:], measures], strict=True):
        best, label = 0.0, ""
        for first, last, name in known:
            likeness = _likeness(prints, (first, last), (begin, end))
            if likeness > best:
                best, label = likeness, name
        if known and begin in returns and best < VARIANT:
            best, label = VARIANT, known[0][2]  # the opening comes back in another setting
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


def _with_coda(columns: Columns, sections: tuple[FormSection, ...]) -> tuple[FormSection, ...]:
    """The last section named coda where the page has the sign at its beginning."""
    signs = {mark.measure for mark in columns.score.marks if mark.kind == "coda"}
    if len(sections) > 1 and sections[-1].measure in signs:
        return (*sections[:-1], replace(sections[-1], label=CODA))
    return sections


def _likeness(prints: Floats, one: tuple[int, int], two: tuple[int, int]) -> float:
    """Mean likeness of two sections, measure by measure from their beginnings, 0 to 1.

    Extra measures of the longer one count 0; but sections that open alike are at least variants.
    """
    size = min(one[1] - one[0], two[1] - two[0])
    alike = (prints[one[0] : one[0] + size] * prints[two[0] : two[0] + size]).sum(axis=1)
    whole = float(alike.sum()) / max(one[1] - one[0], two[1] - two[0])
    head = float(alike[:OPENING].mean()) if size >= OPENING else 0.0
    return max(whole, VARIANT) if head >= ALIKE else whole


def _facts(
    sections: tuple[FormSection, ...], phrases: tuple[Phrase, ...], returns: Sequence[int]
) -> Iterator[Fact]:
    if len(sections) > 1:
        shown = named(shown=min(len(sections), MOST_SECTIONS))
        yield Fact(FactKind.SECTIONS, numbers=shown, certainty=0.8, weight=0.8)
    if returns:
        places = tuple((at, at + OPENING - 1) for at in returns[:MOST_RETURNS])
        yield Fact(FactKind.OPENING_RETURNS, places=places, weight=0.6)
    if len(phrases) > 1:
        lengths = [phrase.end_measure - phrase.measure + 1 for phrase in phrases]
        usual = max(set(lengths), key=lambda bars: (lengths.count(bars), -bars))
        numbers = named(phrases=len(lengths), usual=usual, alike=lengths.count(usual))
        yield Fact(FactKind.PHRASES, numbers=numbers, certainty=0.7, weight=0.4)
