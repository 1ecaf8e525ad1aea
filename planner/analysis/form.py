"""How the piece is built: sections that are alike, phrases, and where the opening returns."""

from dataclasses import dataclass

import numpy as np

from planner.analysis.columns import Columns, Floats
from planner.analysis.harmony import HarmonyStudy
from planner.analysis.sonority import heads_of
from planner.analysis.talk import bars
from planner.core.profile import FormSection, Phrase, Statement


@dataclass(frozen=True, slots=True)
class FormStudy:
    """Sections with letters, phrases of the melody, and sentences."""

    sections: tuple[FormSection, ...] = ()
    phrases: tuple[Phrase, ...] = ()
    statements: tuple[Statement, ...] = ()


SIMILAR = 0.75
"""Share of bars that must be alike for two sections to share a letter (house choice)."""


def find_form(columns: Columns, harmony: HarmonyStudy) -> FormStudy:
    """Sections and phrases of a score.

    Example:
        >>> from planner.analysis.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_form(columns_of(Score("Empty", (), ())), HarmonyStudy()).sections
        ()
    """
    measures = len(columns.score.measures)
    if not measures:
        return FormStudy()
    prints = _bar_prints(columns)
    cuts = _cuts(columns, harmony)
    sections = _letters(prints, cuts, measures)
    phrases = _phrases(columns, harmony)
    return FormStudy(sections, phrases, _statements(columns, sections))


def _bar_prints(columns: Columns) -> Floats:
    """What each bar sounds like: pitch classes by eighth of the bar, shape ``(n_measures, 96)``."""
    heads = heads_of(columns)
    measures = len(columns.measure_start)
    prints = np.zeros(measures * 96)
    if len(heads):
        length = np.maximum(columns.measure_length[heads.measure], 1)
        place = (heads.onset - columns.measure_start[heads.measure]) * 8 // length
        flat = heads.measure * 96 + np.clip(place, 0, 7) * 12 + (7 * heads.lof) % 12
        prints = np.bincount(flat, minlength=measures * 96).astype(np.float64)
    table = np.sqrt(prints.reshape(measures, 96))
    norm = np.linalg.norm(table, axis=1, keepdims=True)
    return np.asarray(table / np.maximum(norm, 1e-9), dtype=np.float64)


def _cuts(columns: Columns, harmony: HarmonyStudy) -> list[int]:
    """Bars where a section may begin: after double bars and repeats, at rehearsal marks, at signatures."""
    measures = columns.score.measures
    cuts = {0}
    for measure in measures:
        if measure.rehearsal or "light-light" in measure.left_bar or (measure.time_changes and measure.index):
            cuts.add(measure.index)
        if measure.right_bar in ("light-light", "light-heavy") and measure.index + 1 < len(measures):
            cuts.add(measure.index + 1)
    for mark in columns.score.marks:
        if mark.kind == "repeat-start":
            cuts.add(mark.measure)
        if mark.kind == "repeat-end" and mark.measure + 1 < len(measures):
            cuts.add(mark.measure + 1)
    if len(cuts) == 1:
        for cadence in harmony.cadences:
            if cadence.kind == "authentic" and cadence.measure + 1 < len(measures):
                cuts.add(cadence.measure + 1)
    ordered = sorted(cuts)
    return [cut for at, cut in enumerate(ordered) if not at or cut - ordered[at - 1] >= 2]


def _letters(prints: Floats, cuts: list[int], measures: int) -> tuple[FormSection, ...]:
    ends = [*cuts[1:], measures]
    kinds: list[tuple[int, int, str, int]] = []
    sections: list[FormSection] = []
    for begin, end in zip(cuts, ends, strict=True):
        best, label = 0.0, ""
        for first, last, name, _ in kinds:
            size = min(end - begin, last - first)
            alike = (prints[begin : begin + size] * prints[first : first + size]).sum(axis=1)
            share = float((alike > 0.8).mean()) * size / max(end - begin, last - first)
            if share > best:
                best, label = share, name
        if best >= SIMILAR:
            label = label if best > 0.95 else label + "′"
        else:
            label = chr(ord("A") + len(kinds)) if len(kinds) < 26 else f"S{len(kinds) + 1}"
            kinds.append((begin, end, label, len(kinds)))
        sections.append(FormSection(label, begin, end - 1))
    return tuple(sections)


def _phrases(columns: Columns, harmony: HarmonyStudy) -> tuple[Phrase, ...]:
    last = len(columns.score.measures) - 1
    ends = sorted({c.measure for c in harmony.cadences if c.measure < last} | {last})
    phrases: list[Phrase] = []
    begin = 0
    for end in ends:
        if end >= begin:
            phrases.append(Phrase(begin, end))
            begin = end + 1
    return tuple(phrases)


def _statements(columns: Columns, sections: tuple[FormSection, ...]) -> tuple[Statement, ...]:
    if len(sections) < 2:
        return ()
    listed = ", ".join(f"{s.label} ({bars(columns, s.measure, s.end_measure)})" for s in sections)
    return (Statement("form", f"Sections: {listed}."),)
