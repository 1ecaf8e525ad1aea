"""Small notes over rests that are another part's: a cue to hear."""

import re
from collections.abc import Iterator
from fractions import Fraction
from itertools import groupby

from planner.core.fact import Fact, FactKind
from planner.core.instruments import ids_named
from planner.core.score import Note, Part, Score

LEAST_NOTES = 3
"""Fewest small notes that tell whose they are. House choice: two may agree by chance."""
MOST = 4
"""Most places that are named. House choice."""
LEAST_LETTERS = 2
"""Fewest letters of a short name of an instrument: one alone may be a rehearsal mark. House choice."""
_CUE = re.compile(r"cues?", re.IGNORECASE)
_TO_PLAY = re.compile(r"\b(?:play|if no|opt|ad lib|ossia)", re.IGNORECASE)
"""Words beside which small notes may be meant to be played."""

_Line = tuple[tuple[int, Fraction, int], ...]
"""Measure, onset and pitch class of each head, as they sound."""


def cue_facts(score: Score) -> Iterator[Fact]:
    """For each part its cues: this one is silent, and another has the same notes or the page says it.

    Example:
        >>> list(cue_facts(Score("Empty", (), ())))
        []
    """
    for part in score.parts:
        found = [
            (place, owner)
            for place, notes in _cued(part)
            if (owner := _owner(score, part, notes) or _printed(part, place)) is not None
        ]
        if 0 < len(found) <= MOST:
            yield Fact(
                FactKind.CUES,
                part.name,
                places=tuple(place for place, _ in found),
                terms=tuple(owner for _, owner in found),
                weight=0.8,
            )


def _cued(part: Part) -> Iterator[tuple[tuple[int, int], list[Note]]]:
    """Runs of bars in which a part has small notes and nothing of its own, with the notes."""
    cues = [note for note in part.notes if note.is_cue and not note.is_rest and note.pitch]
    own = {note.measure for note in part.notes if not (note.is_cue or note.is_rest)}
    to_play = {words.measure for words in part.words if _TO_PLAY.search(words.text)}
    bars = sorted({note.measure for note in cues} - own)
    for _, run in groupby(enumerate(bars), key=lambda one: one[1] - one[0]):
        measures = [measure for _, measure in run]
        if to_play.isdisjoint(range(measures[0] - 1, measures[-1] + 1)):
            inside = set(measures)
            yield (measures[0], measures[-1]), [note for note in cues if note.measure in inside]


def _owner(score: Score, part: Part, notes: list[Note]) -> str:
    """The first other part that plays the very same notes, in any octave; empty where none does."""
    wanted = _line(part, notes)
    if len(wanted) < LEAST_NOTES:
        return ""
    bars = {note.measure for note in notes}
    for other in score.parts:
        played = [n for n in other.notes if n.measure in bars and not (n.is_rest or n.is_cue)]
        if other is not part and set(wanted) <= set(_line(other, played)):
            return other.name
    return ""


def _printed(part: Part, place: tuple[int, int]) -> str | None:
    """The instrument printed over a cue, empty where only the word stands there; None where neither does."""
    here = [" ".join(words.text.split()) for words in part.words if words.measure == place[0]]
    texts = [text.strip("()[]: ") for text in here]
    plain = [re.sub(r"\bcue\b:?", "", text, flags=re.IGNORECASE).strip("()[]: ") for text in texts]
    named = [text for text in plain if _is_other_instrument(part, text)]
    if named:
        return named[0]
    return "" if any(_CUE.fullmatch(text) for text in texts) else None


def _is_other_instrument(part: Part, text: str) -> bool:
    found = ids_named(text) if sum(map(str.isalpha, text)) >= LEAST_LETTERS else ()
    return len(found) == 1 and found[0] != part.instrument


def _line(part: Part, notes: list[Note]) -> _Line:
    line = list[tuple[int, Fraction, int]]()
    for note in notes:
        if note.pitch is not None:
            heard = part.transposition_at(note.measure).to_sounding(note.pitch)
            line.append((note.measure, note.onset_quarters, int(heard.midi) % 12))
    return tuple(line)
