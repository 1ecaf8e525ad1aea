"""Which key the music is in: the home key, and the local keys with where they begin."""

from dataclasses import dataclass

import numpy as np

from planner.core.fact import Fact
from planner.core.profile import KeyRelation, KeySpan
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, Ints, asked_once
from planner.study.notes.sonority import Sonority, heads_of, sonority_of
from planner.study.tonal import decode, likelihood
from planner.study.tonal.chords import KEYS, Key
from planner.study.tonal.heard import heard_of
from planner.study.tonal.home_key import home_key
from planner.study.tonal.key_accidentals import key_accidentals
from planner.study.tonal.learned_weights import learned_tables
from planner.study.tonal.modes import mode_of
from planner.study.tonal.regions import region_facts, regions_of, settled, touches_of


@dataclass(frozen=True, slots=True)
class KeyStudy:
    """The keys of a piece, in sounding pitch.

    Attributes:
        home_key: ``"Bb major"``; empty when the score has no pitches, and where no key is sure: then there
            are no facts either.
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
    if home is None:
        return KeyStudy("", spans)
    every = regions_of(columns, spans)
    regions, touches = settled(columns, every), touches_of(columns, sonority, path, every)
    mode = mode_of(sonority, home)
    of_parts = [
        fact for part in columns.pitched() for fact in key_accidentals(columns, part, regions, touches)
    ]
    return KeyStudy(home.name, spans, (*region_facts(columns, home, mode, regions), *of_parts))


@asked_once
def path_of(columns: Columns) -> decode.Path:
    """The likeliest keys and chords of a score, slice by slice."""
    sonority, signatures = sonority_of(columns), decode.signatures_of(columns)
    heard, tables = heard_of(columns), learned_tables()
    keys = likelihood.likely_keys(heard, signatures[sonority.measure])
    score = likelihood.evidence(sonority, heard, signatures, keys.reshape(-1), tables)
    return decode.best_path(decode.Chain(sonority.weight, keys, score), tables)


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


def _spans(sonority: Sonority, keys: Ints, home: Key | None) -> tuple[KeySpan, ...]:
    begins = np.flatnonzero(np.append(True, keys[1:] != keys[:-1])).tolist()
    return tuple(
        KeySpan(
            int(sonority.measure[at]),
            KEYS[keys[at]].name,
            relation(home, KEYS[keys[at]]) if home is not None else KeyRelation.DISTANT,
            float(sonority.offset[at] / TICKS_PER_QUARTER),
        )
        for at in begins
    )
