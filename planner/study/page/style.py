"""Where the style of playing turns: slurred, staccato, accented, tenuto."""

from dataclasses import dataclass

from planner.core.score import Note, Part

MOSTLY = 0.5
"""Share of a bar's notes that must be played in a style for the bar to count. House choice."""

LEAST_MEASURES = 2
"""Bars that a style must hold to be told. House choice."""

MOST_TURNS = 8
"""Passages told for one part; the longest are kept. House choice."""

_STYLES: tuple[tuple[str, frozenset[str]], ...] = (
    ("staccato", frozenset({"staccato", "staccatissimo", "spiccato"})),
    ("accented", frozenset({"accent", "strong-accent"})),
    ("tenuto", frozenset({"tenuto", "detached-legato"})),
)


@dataclass(frozen=True, slots=True)
class StyleTurn:
    """A style that holds in most notes of measures ``first`` to ``last`` (rests between included)."""

    style: str
    first: int
    last: int


LONGEST_REST = 3
"""Most empty bars inside a passage in one style (house choice: after a longer rest the eye starts anew)."""


def style_turns(part: Part, measures: int) -> tuple[StyleTurn, ...]:
    """Passages of at least two playing bars in one style, in order; a short rest does not end a passage."""
    counts = _count_styles(part, measures)
    spans: list[list[int | str]] = []
    open_style, rested = "", 0
    for measure, (notes, styles) in enumerate(counts):
        if not notes:
            rested += 1
            if rested > LONGEST_REST:
                open_style = ""
            continue
        rested = 0
        style = max(styles, key=lambda name: (styles[name], name), default="")
        if not style or styles[style] < MOSTLY * notes:
            open_style = ""
        elif style == open_style:
            spans[-1][2], spans[-1][3] = measure, int(spans[-1][3]) + 1
        else:
            open_style = style
            spans.append([style, measure, measure, 1])
    kept = [span for span in spans if int(span[3]) >= LEAST_MEASURES]
    longest = sorted(kept, key=lambda span: (-int(span[3]), int(span[1])))[:MOST_TURNS]
    return tuple(
        StyleTurn(str(style), int(first), int(last))
        for style, first, last, _ in sorted(longest, key=lambda span: int(span[1]))
    )


def _count_styles(part: Part, measures: int) -> list[tuple[int, dict[str, int]]]:
    """For each measure: struck notes (chords once), and how many are in each style."""
    counts: list[tuple[int, dict[str, int]]] = [(0, {}) for _ in range(measures)]
    open_slurs: dict[str, int] = {}
    for note in part.notes:
        if note.is_rest or note.is_cue:
            continue
        under = open_slurs.get(note.voice, 0) > 0 or note.slurs_started > 0
        open_slurs[note.voice] = max(
            0, open_slurs.get(note.voice, 0) + note.slurs_started - note.slurs_stopped
        )
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
