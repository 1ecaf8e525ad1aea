"""How well the study tells tonic, predominant and dominant, against people and against music21."""

import warnings
from collections.abc import Callable

from music21 import converter, roman

from planner.core.score import Score
from planner.study.notes.columns import columns_of
from planner.study.tonal.harmony import find_harmony
from planner.study.tonal.keys import find_keys
from tests.benchmarks.agreement import agreement
from tests.benchmarks.analysed import Analysed, analysed
from tests.benchmarks.human import human_function
from tests.benchmarks.learn_harmony import fold_tables, reading_with
from tests.benchmarks.rows import Row


def study_functions(score: Score) -> list[tuple[float, str]]:
    """Start in quarters and function of each chord of the study."""
    columns = columns_of(score)
    starts = [float(measure.start_quarters) for measure in score.measures]
    spans = find_harmony(columns, find_keys(columns)).spans
    return [(starts[span.measure] + span.offset_quarters, span.function) for span in spans]


def named_functions(piece: Analysed) -> list[tuple[float, str]]:
    """music21 alone: all parts made into chords, each named in the key that music21 finds for the piece."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        music = converter.parse(piece.path)
        key = music.analyze("key")
        chords = music.chordify().flatten().getElementsByClass("Chord")
        found = []
        for chord in chords:
            try:
                numeral = roman.romanNumeralFromChord(chord, key)
            except Exception:  # music21 cannot name every sonority: it then says nothing
                found.append((float(chord.offset), "other"))
            else:
                found.append((float(chord.offset), human_function(numeral)))
    return found


Reader = Callable[[Analysed], list[tuple[float, str]]]


def unseen_functions(piece: Analysed) -> list[tuple[float, str]]:
    """The study's functions, with weights learned without the piece and its composer."""
    with reading_with(fold_tables(piece.fold)):
        return study_functions(piece.score)


def time_agreed(pieces: list[Analysed], reader: Reader) -> tuple[float, float]:
    """Quarters on which a reader and the analyst name the same function, and quarters compared."""
    same = total = 0.0
    for piece in pieces:
        found = agreement([(s.start, s.end, s.function) for s in piece.spans], reader(piece))
        same, total = same + found[0], total + found[1]
    return same, total


def function_agreement(pieces: list[Analysed], reader: Reader) -> float:
    """Share of time on which a reader and the analyst name the same function."""
    same, total = time_agreed(pieces, reader)
    return same / max(total, 1e-9)


FLOORS = {"songs": 0.80, "chorales": 0.79, "madrigals": 0.66}
"""The songs: what is asked. Chorales and madrigals: what other weights had reached on half of them."""


def rows() -> list[Row]:
    """The figures, each piece read with weights learned without it and its composer's songs."""
    found = []
    for name, floor in FLOORS.items():
        pieces = [piece for piece in analysed() if piece.set == name]
        if pieces:
            what = f"function, {len(pieces)} {name} left out of learning in turn"
            found.append(Row(what, function_agreement(pieces, unseen_functions), floor))
            some = [piece for piece in pieces if piece.fold == 0]
            ours, theirs = (
                function_agreement(some, reader) for reader in (unseen_functions, named_functions)
            )
            found += [
                Row(f"  music21 chordify and name, {len(some)} of them", theirs),
                Row("  gain over it on these", 100 * (ours - theirs), 10.0, "points"),
            ]
    return found
