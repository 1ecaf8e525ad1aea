"""How well the study tells tonic, predominant and dominant, against people and against music21."""

import warnings
from collections.abc import Callable

from music21 import converter, roman

from planner.core.score import Score
from planner.study.notes.columns import columns_of
from planner.study.tonal.harmony import find_harmony
from planner.study.tonal.keys import find_keys
from tests.benchmarks.agreement import agreement
from tests.benchmarks.human import human_function
from tests.benchmarks.keys import Analysed, analysed
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


def rows() -> list[Row]:
    """The figures, on the pieces the weights were not learned from, by set and all together."""
    found, ours, theirs, count = [], [0.0, 0.0], [0.0, 0.0], 0
    for name in ("chorales", "songs", "madrigals"):
        held = [piece for piece in analysed() if piece.set == name and piece.held]
        if held:
            mine = time_agreed(held, lambda piece: study_functions(piece.score))
            named = time_agreed(held, named_functions)
            found += _rows(f"{len(held)} {name}", mine, named)
            ours = [ours[0] + mine[0], ours[1] + mine[1]]
            theirs = [theirs[0] + named[0], theirs[1] + named[1]]
            count += len(held)
    return [*found, *_rows(f"all {count} pieces", (ours[0], ours[1]), (theirs[0], theirs[1]))]


def _rows(what: str, ours: tuple[float, float], theirs: tuple[float, float]) -> list[Row]:
    """Agreement, that of music21, and the gain, from quarters agreed and compared."""
    mine, named = ours[0] / max(ours[1], 1e-9), theirs[0] / max(theirs[1], 1e-9)
    return [
        Row(f"function, {what} held back", mine, 0.75),
        Row("  music21 chordify and name, same pieces", named),
        Row("  gain over it", 100 * (mine - named), 10.0, "points"),
    ]
