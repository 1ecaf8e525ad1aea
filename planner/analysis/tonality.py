"""Which key the music is in: the home key, and the local keys with where they begin."""

from dataclasses import dataclass

import numpy as np

from planner.analysis import decode, likelihood
from planner.analysis.chords import KEYS, Key, key_index, spoken_key
from planner.analysis.columns import TICKS_PER_QUARTER, Columns, Floats, Ints
from planner.analysis.sonority import Sonority, heads_of, sonority_of
from planner.analysis.weights import learned_tables
from planner.core.profile import KeySpan, Statement


@dataclass(frozen=True, slots=True)
class KeyStudy:
    """The keys of a piece, in sounding pitch.

    Attributes:
        home_key: ``"Bb major"``; empty when the score has no pitches.
        spans: Local keys in order; the first begins at the first measure.
        statements: Sentences about the keys, for everyone and for parts.
    """

    home_key: str
    spans: tuple[KeySpan, ...] = ()
    statements: tuple[Statement, ...] = ()


def find_keys(columns: Columns) -> KeyStudy:
    """Home key and local keys of a score.

    Example:
        >>> from planner.analysis.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_keys(columns_of(Score("Empty", (), ()))).home_key
        ''
    """
    heads = heads_of(columns)
    if not len(heads):
        return KeyStudy("")
    sonority = sonority_of(columns, heads)
    signatures = decode.signatures_of(columns)
    tables = learned_tables()
    tables = tables.only(likelihood.likely_keys(sonority, signatures, tables))
    path = decode.best_path(sonority.weight, likelihood.evidence(sonority, signatures, tables), tables)
    home = home_key(columns, sonority, path, signatures)
    spans = _spans(sonority, path.key, home)
    return KeyStudy(home.name, spans, _statements(columns, home, spans))


def home_key(columns: Columns, sonority: Sonority, path: decode.Path, signatures: Ints) -> Key:
    """The key the piece belongs to: where it ends, begins, and is most of the time.

    Source:
        House choice: the ending counts most, as theory books teach.
    """
    last = _end_of_first_movement(columns)
    inside = np.flatnonzero(sonority.measure < last)
    length = (sonority.end - sonority.start)[inside] / TICKS_PER_QUARTER
    share: Floats = np.zeros(len(KEYS))
    np.add.at(share, path.key[inside], length / max(float(length.sum()), 1e-9))
    share[path.key[inside[-1]]] += 0.5
    share[path.key[inside[0]]] += 0.35
    fifths = signatures[sonority.measure[inside[0]]]
    if fifths != 99:
        share += np.array([0.25 * (key.fifths == fifths) for key in KEYS])
    return KEYS[int(share.argmax())]


def _end_of_first_movement(columns: Columns) -> int:
    """Position after the first closing double bar that is followed by more music."""
    measures = columns.score.measures
    for measure in measures[:-1]:
        repeats = any(
            mark.kind == "repeat-end" and mark.measure == measure.index for mark in columns.score.marks
        )
        if measure.right_bar == "light-heavy" and not repeats:
            return measure.index + 1
    return len(measures)


RELATIONS: dict[tuple[bool, int, bool], str] = {
    (False, 0, False): "home key", (True, 0, True): "home key",
    (False, 3, True): "relative minor", (True, -3, False): "relative major",
    (False, 0, True): "parallel minor", (True, 0, False): "parallel major",
    (False, 1, False): "dominant", (False, -1, False): "subdominant",
    (True, 1, True): "minor dominant", (True, -1, True): "minor subdominant",
    (True, 1, False): "major dominant", (False, 2, True): "supertonic minor",
    (False, 4, True): "mediant minor", (True, -4, False): "submediant major",
    (True, -2, False): "subtonic major",
}  # fmt: skip
"""How a local key is related to the home key: home is minor, fifths between tonics, local is minor."""


def relation(home: Key, local: Key) -> str:
    """Name of the relation; empty for a distant key.

    Example:
        >>> relation(Key(0, False), Key(3, True))
        'relative minor'
    """
    return RELATIONS.get((home.is_minor, local.tonic - home.tonic, local.is_minor), "")


def _spans(sonority: Sonority, keys: Ints, home: Key) -> tuple[KeySpan, ...]:
    begins = np.flatnonzero(np.append(True, keys[1:] != keys[:-1]))
    return tuple(
        KeySpan(
            int(sonority.measure[at]),
            KEYS[keys[at]].name,
            relation(home, KEYS[keys[at]]),
            float(sonority.offset[at] / TICKS_PER_QUARTER),
        )
        for at in begins
    )


def _statements(columns: Columns, home: Key, spans: tuple[KeySpan, ...]) -> tuple[Statement, ...]:
    said = [Statement("key", f"The piece is in {spoken_key(home.name)}.")]
    for span, following in zip(spans, (*spans[1:], None), strict=True):
        if span.key == home.name:
            continue
        end = following.measure - 1 if following else len(columns.score.measures) - 1
        end = max(end, span.measure)
        named = f", the {span.relation}" if span.relation else ""
        said.append(
            Statement(
                "key",
                f"Bar {columns.score.measure_number(span.measure)}: {spoken_key(span.key)}{named}.",
                measure=span.measure,
                end_measure=end,
            )
        )
    return tuple(said)


def keys_of_slices(sonority: Sonority, study: KeyStudy) -> Ints:
    """Index into ``KEYS`` for each slice, from the spans of a study."""
    keys = np.zeros(len(sonority), dtype=np.int64)
    for span in study.spans:
        offset = round(span.offset_quarters * TICKS_PER_QUARTER)
        later = (sonority.measure > span.measure) | (
            (sonority.measure == span.measure) & (sonority.offset >= offset)
        )
        keys[later] = key_index(span.key) or 0
    return keys
