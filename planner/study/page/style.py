"""Where the style of playing turns: slurred, staccato, accented, tenuto."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from planner.core.fact import Fact, FactKind
from planner.core.score import Note, Part

MOSTLY = 0.5
"""Share of a bar's notes that must be played in a style for the bar to count. House choice."""

LEAST_MEASURES = 2
"""Bars that a style must hold to make a passage. House choice."""

MOST_PASSAGES = 4
"""Passages kept for one part, the longest. House choice."""

_STYLES: tuple[tuple[str, frozenset[str]], ...] = (
    ("staccato", frozenset({"staccato", "staccatissimo", "spiccato"})),
    ("accented", frozenset({"accent", "strong-accent"})),
    ("tenuto", frozenset({"tenuto", "detached-legato"})),
)


LONGEST_SLUR = 12
"""Most bars that one slur reaches over: a longer one lost its end in the file. House choice."""

LONGEST_REST = 3
"""Most empty bars inside a passage in one style (house choice: after a longer rest the eye starts anew)."""


@dataclass(frozen=True, slots=True)
class StylePassage:
    """A style that holds in most notes of measures ``first`` to ``last``, rests between included.

    ``bars`` counts those with notes.
    """

    style: str
    first: int
    last: int
    bars: int = 1


def style_passages(part: Part, measures: int) -> tuple[StylePassage, ...]:
    """Passages of at least two playing bars in one style, in order; a short rest does not end a passage."""
    found: list[StylePassage] = []
    style_in_force, rested = "", 0
    for measure, (notes, styles) in enumerate(_count_styles(part, measures)):
        if not notes:
            rested += 1
            if rested > LONGEST_REST:
                style_in_force = ""
            continue
        rested = 0
        style = max(styles, key=lambda name: (styles[name], name), default="")
        if not style or styles[style] < MOSTLY * notes:
            style_in_force = ""
        elif style == style_in_force:
            found[-1] = replace(found[-1], last=measure, bars=found[-1].bars + 1)
        else:
            style_in_force = style
            found.append(StylePassage(style, measure, measure))
    held = [passage for passage in found if passage.bars >= LEAST_MEASURES]
    longest = sorted(held, key=lambda passage: (-passage.bars, passage.first))[:MOST_PASSAGES]
    return tuple(sorted(longest, key=lambda passage: passage.first))


def style_facts(part: Part, measures: int) -> Iterator[Fact]:
    """The fact about the styles of a part, where it has any."""
    passages = style_passages(part, measures)
    if passages:
        yield Fact(
            FactKind.STYLE,
            part.name,
            places=tuple((passage.first, passage.last) for passage in passages),
            terms=tuple(passage.style for passage in passages),
            weight=0.4,
        )


def _count_styles(part: Part, measures: int) -> list[tuple[int, dict[str, int]]]:
    """For each measure: struck notes (chords once), and how many are in each style."""
    counts: list[tuple[int, dict[str, int]]] = [(0, {}) for _ in range(measures)]
    open_slurs: dict[str, list[int]] = {}
    for note in part.notes:
        if note.is_rest or note.is_cue:
            continue
        begun = open_slurs.setdefault(note.voice, [])
        if begun and note.measure - begun[0] > LONGEST_SLUR:
            begun.clear()
        begun += [note.measure] * note.slurs_started
        under = bool(begun)
        del begun[: note.slurs_stopped]
        if note.in_chord or not note.is_struck:
            continue
        notes, styles = counts[note.measure]
        for style in _styles_of(note, under):
            styles[style] = styles.get(style, 0) + 1
        counts[note.measure] = (notes + 1, styles)
    return counts


def _styles_of(note: Note, under_slur: bool) -> list[str]:
    marks = note.articulations
    found = [style for style, names in _STYLES if names.intersection(marks)] if marks else []
    if under_slur and "staccato" not in found:
        found.append("slurred")
    return found
