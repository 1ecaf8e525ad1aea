"""Words on the page that name sections: rehearsal marks, and what a section is (Trio, Verse, Coda …)."""

import re

from planner.study.notes.columns import Columns, asked_once

_KINDS = (
    r"minuett?o?|menuett?o?|trio|scherzo|verse|strophe|couplet|chorus|refrain|intro(?:duction|duzione|duktion)?"
    r"|einleitung|coda|bridge|interlude|intermezzo|zwischenspiel|vamp|theme|tema|thema|finale|fug(?:ue|a|e)"
    r"|var(?:iation(?:e|en)?|iazione)?\.?(?=[\s.]*(?:[ivx]+|\d+)\b)|strain|ending|tag|break(?:strain| strain)"
)
_HEADING = re.compile(
    rf"(?:the\s+|1st\s+|2nd\s+|3rd\s+|first\s+|second\s+|third\s+)?(?:{_KINDS})[\s.]*(?:[ivx]+|\d+|[a-d])?[\s.:]*",
    re.IGNORECASE,
)
"""Source: names of sections in common practice, in English, Italian, German and French editions."""
_INTRODUCTION = re.compile(r"intro|einleitung", re.IGNORECASE)
_CODA = re.compile(r"coda\b", re.IGNORECASE)


def is_heading(text: str) -> bool:
    """Whether printed words are the name of a section.

    Example:
        >>> [is_heading(text) for text in ("Trio", "Var. II", "Verse 1", "dolce", "Tempo di Valse")]
        [True, True, True, False, False]
    """
    return bool(_HEADING.fullmatch(text.strip()))


@asked_once
def printed_names(columns: Columns) -> dict[int, str]:
    """For each measure with a name of a section on the page, that name; a word goes before a letter.

    Rehearsal marks that only repeat the number of their bar name nothing.
    """
    score = columns.score
    names = {m.index: m.rehearsal for m in score.measures if m.rehearsal and m.rehearsal != m.number}
    words = [(tempo.measure, tempo.text) for tempo in score.tempos]
    words += [(each.measure, each.text) for part in score.parts for each in part.words]
    for measure, text in words:
        if is_heading(text) and not is_heading(names.get(measure, "")):
            names[measure] = text.strip().rstrip(".:")
    return names


def means_introduction(name: str) -> bool:
    """Whether a printed name says introduction."""
    return bool(_INTRODUCTION.match(name))


def means_coda(name: str) -> bool:
    """Whether a printed name says coda."""
    return bool(_CODA.match(name))
