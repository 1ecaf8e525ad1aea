"""Where the music has left the key of its signature beyond doubt, so that the new key may be named."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np

from planner.core.profile import Cadence, KeySpan, SureKey
from planner.study.form.boundaries import printed_starts
from planner.study.notes.columns import Columns
from planner.study.notes.sonority import heads_of
from planner.study.tonal.chords import KEYS, Key, key_index
from planner.study.tonal.decode import signatures_of
from planner.study.tonal.key_accidentals import scale_of
from planner.study.tonal.keys import KeyStudy

LEAST_BARS = 8
"""Fewest bars of a stretch whose key is named.

Source: house choice: two phrases. On every second of the analysed pieces analysts hear 8 of 13 stretches of
at least 4 bars wholly in that key, 5 of 6 of at least 6 bars, 4 of 4 of at least 8 bars
(``tests.benchmarks.study_figures keys``).
"""
MOST_WITHOUT = 4
"""Most bars in a row of such a stretch without a note that tells its key. Source: house choice: a phrase."""
NO_SIGNATURE = 99
LEADING = 5
"""Fifths from the tonic to the note that leads to it."""


def sure_keys(columns: Columns, keys: KeyStudy, cadences: Sequence[Cadence]) -> tuple[SureKey, ...]:
    """The stretches of a score whose key is beyond doubt, none of them in the home key or the opening one.

    One local key fills every bar of such a stretch, and the page shows no new section and no other signature
    inside. Everything that sounds in it belongs to that key. Notes that the signature does not have tell it
    from its first bar on, never far apart, and it ends with an authentic close in it.

    Args:
        columns: The score.
        keys: Its keys.
        cadences: Its closes.
    """
    if not keys.home_key:
        return ()
    signatures, sounding = signatures_of(columns), _sounding(columns)
    filled = _filled(len(sounding), keys.spans)
    known = {keys.home_key, keys.spans[0].key}
    closes = {(each.measure, each.key) for each in cadences if each.kind == "authentic"}
    events = printed_starts(columns) | set((np.flatnonzero(np.diff(signatures)) + 1).tolist())
    found = []
    for first, last in _stretches(filled, sounding, events):
        name = filled[first]
        at = key_index(name) if name not in known else None
        if at is not None:
            stretch = _certain(sounding, KEYS[at], int(signatures[first]), (first, last), closes)
            if stretch is not None:
                found.append(SureKey(name, *stretch))
    return tuple(found)


def _filled(measures: int, spans: Sequence[KeySpan]) -> list[str]:
    """For each measure the one key that fills it; empty where there are several."""
    found: list[set[str]] = [set() for _ in range(measures)]
    for span, after in zip(spans, (*spans[1:], None), strict=True):
        end = measures if after is None else after.measure + (after.offset_quarters > 0)
        for at in range(span.measure, end):
            found[at].add(span.key)
    return [keys.pop() if len(keys) == 1 else "" for keys in found]


def _stretches(
    filled: Sequence[str], sounding: Sequence[set[int]], events: set[int]
) -> Iterator[tuple[int, int]]:
    """Stretches filled by one key in which everything belongs to it and the page shows nothing new."""
    begin = 0
    for at in range(1, len(filled) + 1):
        goes_on = (
            at < len(filled)
            and at not in events
            and filled[at] == filled[begin]
            and _fits(filled[at], sounding[at])
        )
        if not goes_on:
            if filled[begin] and _fits(filled[begin], sounding[begin]):
                yield begin, at - 1
            begin = at


def _fits(key: str, sounding: set[int]) -> bool:
    at = key_index(key)
    return at is not None and sounding <= scale_of(KEYS[at])


def _sounding(columns: Columns) -> list[set[int]]:
    """For each measure what sounds in it, on the line of fifths."""
    heads = heads_of(columns)
    found: list[set[int]] = [set() for _ in columns.score.measures]
    for measure, lof in zip(heads.measure.tolist(), heads.lof.tolist(), strict=True):
        found[measure].add(lof)
    return found


def _certain(
    sounding: Sequence[set[int]], key: Key, fifths: int, run: tuple[int, int], closes: set[tuple[int, str]]
) -> tuple[int, int] | None:
    """The part of a run that its notes tell to be in the key; None where they leave a doubt."""
    telling = telling_notes(key, fifths) if fifths != NO_SIGNATURE else frozenset[int]()
    ends = [at for at in range(run[0], run[1] + 1) if (at, key.name) in closes]
    bars = [at for at in range(run[0], ends[-1] + 1) if sounding[at] & telling] if ends else []
    if not bars or ends[-1] - bars[0] + 1 < LEAST_BARS:
        return None
    leads = any(key.tonic + LEADING in sounding[at] for at in bars)
    is_certain = leads and all(after - at <= MOST_WITHOUT for at, after in pairwise([*bars, ends[-1]]))
    return (bars[0], ends[-1]) if is_certain else None


def telling_notes(key: Key, fifths: int) -> frozenset[int]:
    """The notes of a key that a signature does not have; in minor the leading tone among them."""
    own = {key.fifths + step for step in range(-1, 6)} | {key.tonic + LEADING}
    return frozenset(own - {fifths + step for step in range(-1, 6)})
