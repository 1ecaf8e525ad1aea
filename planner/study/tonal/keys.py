"""Which key the music is in: the home key, and the local keys with where they begin."""

from dataclasses import dataclass

import numpy as np

from planner.core.fact import Fact
from planner.core.profile import KeyRelation, KeySpan
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, Ints, asked_once
from planner.study.notes.sonority import LOF_LOW, Sonority, heads_of, sonority_of
from planner.study.tonal import decode, likelihood
from planner.study.tonal.chords import KEYS, Key, key_index
from planner.study.tonal.home_key import home_key
from planner.study.tonal.key_accidentals import key_accidentals
from planner.study.tonal.learned_weights import learned_tables
from planner.study.tonal.regions import region_facts, regions_of


@dataclass(frozen=True, slots=True)
class KeyStudy:
    """The keys of a piece, in sounding pitch.

    Attributes:
        home_key: ``"Bb major"``; empty when the score has no pitches.
        spans: Local keys in order; the first begins where the music does.
        facts: What readers need to know of the keys, for everyone and for parts.
    """

    home_key: str
    spans: tuple[KeySpan, ...] = ()
    facts: tuple[Fact, ...] = ()


def find_keys(columns: Columns) -> KeyStudy:
    """Home key and local keys of a score.

    Example:
        >>> from planner.study.notes.columns import asked_once, columns_of
        >>> from planner.core.score import Score
        >>> find_keys(columns_of(Score("Empty", (), ()))).home_key
        ''
    """
    if not len(heads_of(columns)) or not len(sonority_of(columns)):
        return KeyStudy("")
    sonority, path = sonority_of(columns), path_of(columns)
    home = home_key(columns, sonority, path, decode.signatures_of(columns))
    spans = _spans(sonority, path.key, home)
    regions = regions_of(columns, spans)
    of_parts = [fact for part in columns.pitched() for fact in key_accidentals(columns, part, regions)]
    return KeyStudy(home.name, spans, (*region_facts(columns, home, regions), *of_parts))


@asked_once
def path_of(columns: Columns) -> decode.Path:
    """The best keys and chords of a score, slice by slice."""
    sonority, signatures = sonority_of(columns), decode.signatures_of(columns)
    heard = likelihood.features_of(sonority)
    tables = learned_tables()
    tables = tables.only(likelihood.likely_keys(sonority, heard, signatures, tables))
    score = likelihood.evidence(sonority, heard, signatures, tables)
    path = decode.best_path(sonority.weight, score, tables)
    key = _with_their_notes(sonority, path.key)
    if np.array_equal(key, path.key):
        return path
    chord = decode.best_chords(sonority.weight, score, np.searchsorted(tables.keys, key), tables)
    return decode.Path(key, chord)


_LEAST_SOUNDING = 2
"""Measures in which the note of the key next door must sound to outweigh a region (house choice)."""


def _with_their_notes(sonority: Sonority, key: Ints) -> Ints:
    """The keys, where a major key a fifth from its neighbour is only kept if its own note sounds.

    Keys a fifth apart differ in one note (common practice): D flat major has C, G flat major C flat. A region
    in which the neighbour's note sounds and its own never does is the neighbour's, however its chords lean.
    """
    borders = [0, *(np.flatnonzero(key[1:] != key[:-1]) + 1).tolist(), len(key)]
    settled = key.copy()
    for at in range(len(borders) - 1):
        begin, end = borders[at], borders[at + 1]
        for other in (begin - 1, end):
            if 0 <= other < len(key) and _is_neighbours(
                sonority, begin, end, KEYS[key[begin]], KEYS[settled[other]]
            ):
                settled[begin:end] = settled[other]
                break
    return settled


def _is_neighbours(sonority: Sonority, begin: int, end: int, own: Key, other: Key) -> bool:
    step = other.tonic - own.tonic
    if own.is_minor or other.is_minor or abs(step) != 1:
        return False
    mine, theirs = (own.tonic - 1, own.tonic + 6) if step == 1 else (own.tonic + 5, own.tonic - 2)
    return not _measures_with(sonority, begin, end, mine) and (
        _measures_with(sonority, begin, end, theirs) >= _LEAST_SOUNDING
    )


def _measures_with(sonority: Sonority, begin: int, end: int, lof: int) -> int:
    """In how many measures of a stretch a note sounds, given by its place on the line of fifths."""
    if not 0 <= lof - LOF_LOW < sonority.mass.shape[1]:
        return 0
    sounds = sonority.mass[begin:end, lof - LOF_LOW] > 0
    return len(np.unique(sonority.measure[begin:end][sounds]))


RELATIONS: dict[tuple[bool, int, bool], KeyRelation] = {
    (False, 0, False): KeyRelation.HOME,
    (True, 0, True): KeyRelation.HOME,
    (False, 3, True): KeyRelation.RELATIVE_MINOR,
    (True, -3, False): KeyRelation.RELATIVE_MAJOR,
    (False, 0, True): KeyRelation.PARALLEL_MINOR,
    (True, 0, False): KeyRelation.PARALLEL_MAJOR,
    (False, 1, False): KeyRelation.DOMINANT,
    (True, 1, True): KeyRelation.DOMINANT_MINOR,
    (True, 1, False): KeyRelation.DOMINANT_MAJOR,
    (False, -1, False): KeyRelation.SUBDOMINANT,
    (True, -1, True): KeyRelation.SUBDOMINANT_MINOR,
    (False, 1, True): KeyRelation.DOMINANT_MINOR,
    (False, -1, True): KeyRelation.SUBDOMINANT_MINOR,
    (True, -1, False): KeyRelation.SUBDOMINANT_MAJOR,
    (False, 2, True): KeyRelation.SUPERTONIC_MINOR,
    (False, 4, True): KeyRelation.MEDIANT_MINOR,
    (True, -4, False): KeyRelation.SUBMEDIANT_MAJOR,
    (True, -2, False): KeyRelation.SUBTONIC_MAJOR,
}
"""How a local key is related to the home key: home is minor, fifths between tonics, local is minor."""


def relation(home: Key, local: Key) -> KeyRelation:
    """How a key is related to the home key.

    Example:
        >>> relation(Key(0, False), Key(3, True)).value
        'relative minor'
    """
    apart = (home.is_minor, local.tonic - home.tonic, local.is_minor)
    return RELATIONS.get(apart, KeyRelation.DISTANT)


def _spans(sonority: Sonority, keys: Ints, home: Key) -> tuple[KeySpan, ...]:
    begins = np.flatnonzero(np.append(True, keys[1:] != keys[:-1])).tolist()
    return tuple(
        KeySpan(
            int(sonority.measure[at]),
            KEYS[keys[at]].name,
            relation(home, KEYS[keys[at]]),
            float(sonority.offset[at] / TICKS_PER_QUARTER),
        )
        for at in begins
    )


def keys_of_slices(sonority: Sonority, study: KeyStudy) -> Ints:
    """Place in ``KEYS`` of the key of each slice, from the spans of a study."""
    keys = np.zeros(len(sonority), dtype=np.int64)
    for span in study.spans:
        offset = round(span.offset_quarters * TICKS_PER_QUARTER)
        later = (sonority.measure > span.measure) | (
            (sonority.measure == span.measure) & (sonority.offset >= offset)
        )
        keys[later] = key_index(span.key) or 0
    return keys
