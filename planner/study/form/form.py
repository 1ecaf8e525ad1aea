"""How the piece is built: sections that are alike, phrases, and where the opening returns."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import CODA, INTRODUCTION, OPENING, PRIME, FormSection, Phrase
from planner.study.form.boundaries import OPENING_BARS, boundaries_of, comes_from
from planner.study.form.headings import means_coda, means_introduction, printed_names
from planner.study.form.leading_line import leading_line
from planner.study.form.likeness import SAME, VARIED, from_full_bar, likeness
from planner.study.form.phrases import find_phrases, full_bars, length_in_bars
from planner.study.notes.columns import Columns

MOST_SECTIONS = 12
"""Most sections that are named one by one (house choice: more is no map)."""
MOST_PHRASES = 8
"""Most phrases whose lengths are a fact though they differ: one by one they make a short line (house
choice)."""
USUAL = 2 / 3
"""Share of more phrases than that that have one length where it is a fact (house choice: what half of the
phrases have says nothing of the others)."""
MOST_RETURNS = 6
"""Most returns of the opening that are named (house choice)."""


@dataclass(frozen=True, slots=True)
class FormStudy:
    """Sections with letters, phrases of the melody, and the facts a reader may want of them."""

    sections: tuple[FormSection, ...] = ()
    phrases: tuple[Phrase, ...] = ()
    facts: tuple[Fact, ...] = ()


def find_form(columns: Columns) -> FormStudy:
    """Sections, phrases and the return of the opening.

    Example:
        >>> from planner.study.notes.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_form(columns_of(Score("Empty", (), ()))).sections
        ()
    """
    measures = len(columns.score.measures)
    if not measures or leading_line(columns) is None:
        return FormStudy()
    starts, returns = boundaries_of(columns)
    sections = _sections(columns, starts, returns)
    phrases = find_phrases(columns, starts)
    return FormStudy(sections, phrases, tuple(_facts(columns, sections, phrases, returns)))


LONGEST_INTRODUCTION, LONGEST_CODA = 8, 8
"""Most full bars of a first section that leads to the first named one, and of a last one that only closes
(house choice: a period)."""
SHORT_INTRODUCTION = 4
"""The same for an introduction on a page that names no sections (house choice: a phrase). One so short may go
on as the accompaniment of what follows."""
WHOLE = 0.75
"""Share of a section that a return of it has at least; a shorter last one is a coda (house choice)."""


@dataclass(frozen=True, slots=True)
class _Kind:
    """A tune that sections share: its label, where it stood first, and how many variants there were."""

    label: str
    span: tuple[int, int]
    variants: int = 0


def _sections(columns: Columns, starts: Sequence[int], returns: Sequence[int]) -> tuple[FormSection, ...]:
    """The sections with their labels: the same for sections that are alike, with a prime for a variant."""
    measures = len(columns.score.measures)
    names = printed_names(columns)
    spans = list(zip(starts, [*starts[1:], measures], strict=True))
    introduction = _has_introduction(columns, spans, names)
    kinds: list[_Kind] = []
    sections: list[FormSection] = []
    has_letters = any(len(name) == 1 for name in names.values())
    stem = OPENING
    for place, (begin, end) in enumerate(spans):
        name = names.get(begin, "")
        stem = name or stem
        if place == 0 and introduction:
            label = INTRODUCTION
        elif place == len(spans) - 1 and place and _is_coda(columns, spans, names, introduction):
            label = CODA
        else:
            opens = from_full_bar(columns, (begin, end))[0] in returns and not introduction
            after = stem if has_letters else None
            label = _labelled(columns, kinds, (begin, end), name, after, opens, sections)
        sections.append(FormSection(label, begin, end - 1, name))
    return tuple(sections)


def _labelled(
    columns: Columns,
    kinds: list[_Kind],
    span: tuple[int, int],
    name: str,
    stem: str | None,
    brings_opening: bool,
    before: Sequence[FormSection],
) -> str:
    """The label of a section beside those before it; a new kind or variant is added to them.

    ``stem`` is the last printed letter, after which new tunes without a name are numbered; None where
    the page has no letters that others could contradict. ``brings_opening``: it begins with the
    opening note for note. ``before``: the sections before it.
    """
    score, at = max(
        ((likeness(columns, kind.span, span), -at) for at, kind in enumerate(kinds)), default=(0.0, 0)
    )
    if kinds and brings_opening and score < VARIED:
        score, at = VARIED, 0
    if score < VARIED and not name and (source := comes_from(columns, span)) is not None:
        labels = [each.tune for each in before if each.measure <= source <= each.end_measure]
        known = [place for place, kind in enumerate(kinds) if kind.label in labels]
        score, at = (VARIED, -known[0]) if known else (score, at)
    kind = kinds[-at] if kinds else None
    if kind is not None and score >= SAME:
        return kind.label
    if kind is not None and score >= VARIED:
        kinds[-at] = replace(kind, variants=kind.variants + 1)
        return kind.label + PRIME * (kind.variants + 1)
    label = _new_label({each.label for each in kinds}, name, stem)
    kinds.append(_Kind(label, span))
    return label


def _new_label(taken: set[str], name: str, stem: str | None) -> str:
    if name and name not in taken:
        return name
    if not name and stem is None:
        return next(letter for number in range(10_000) if (letter := _letter(number)) not in taken)
    if not name and stem == OPENING and stem not in taken:
        return OPENING
    return next(label for number in range(2, 10_000) if (label := f"{name or stem} {number}") not in taken)


def _letter(number: int) -> str:
    return chr(ord("A") + number % 26) * (1 + number // 26)


def _bars(columns: Columns, span: tuple[int, int]) -> int:
    return int(full_bars(columns)[span[0] : span[1]].sum())


def _has_introduction(columns: Columns, spans: Sequence[tuple[int, int]], names: Mapping[int, str]) -> bool:
    """Whether the first section is short, not repeated, and not heard again but at the end."""
    if means_introduction(names.get(spans[0][0], "")):
        return True
    if (
        len(spans) < 2
        or spans[0][0] in names
        or any(mark.kind == "repeat-end" and mark.measure < spans[0][1] for mark in columns.score.marks)
    ):
        return False
    own, following = _bars(columns, spans[0]), _bars(columns, spans[1])
    longest = LONGEST_INTRODUCTION if spans[1][0] in names else SHORT_INTRODUCTION
    if own > longest or following < max(own, LONGEST_INTRODUCTION):
        return False
    last = len(spans) - 1
    return all(
        likeness(columns, spans[0], span, leading_only=own <= SHORT_INTRODUCTION) < VARIED
        for place, span in enumerate(spans[1:], 1)
        if place < last or _bars(columns, span) >= LONGEST_CODA
    )


def _is_coda(
    columns: Columns, spans: Sequence[tuple[int, int]], names: Mapping[int, str], introduction: bool
) -> bool:
    """Whether the last section has the sign or name of a coda, or is short and brings nothing whole again.

    After a jump back the last section written is not the last one played.
    """
    span = spans[-1]
    signs = {mark.measure for mark in columns.score.marks if mark.kind == "coda"}
    if span[0] in signs or means_coda(names.get(span[0], "")):
        return True
    if any(mark.kind in ("da-capo", "dal-segno") for mark in columns.score.marks) or len(spans) < 3:
        return False
    if any(mark.kind == "repeat-end" and mark.measure >= span[0] for mark in columns.score.marks):
        return False
    own = _bars(columns, span)
    usual = float(np.median([_bars(columns, each) for each in spans[introduction:-1]]))
    if own > LONGEST_CODA or own >= usual:
        return False
    return not any(
        own >= WHOLE * _bars(columns, each) and likeness(columns, each, span) >= VARIED
        for each in spans[introduction:-1]
    )


def _facts(
    columns: Columns, sections: tuple[FormSection, ...], phrases: tuple[Phrase, ...], returns: Sequence[int]
) -> Iterator[Fact]:
    if len(sections) > 1:
        shown = named(shown=min(len(sections), MOST_SECTIONS))
        yield Fact(FactKind.SECTIONS, numbers=shown, certainty=0.8, weight=0.8)
    if returns:
        places = tuple((at, at + OPENING_BARS - 1) for at in returns[:MOST_RETURNS])
        yield Fact(FactKind.OPENING_RETURNS, places=places, weight=0.6)
    if len(phrases) > 1:
        lengths = [length_in_bars(columns, phrase) for phrase in phrases]
        usual = max(set(lengths), key=lambda bars: (lengths.count(bars), -bars))
        if len(lengths) > MOST_PHRASES and lengths.count(usual) < USUAL * len(lengths):
            return
        numbers = (
            *named(phrases=len(lengths), usual=usual, alike=lengths.count(usual)),
            *(("length", float(bars)) for bars in lengths),
        )
        yield Fact(FactKind.PHRASES, numbers=numbers, certainty=0.7, weight=0.4)
