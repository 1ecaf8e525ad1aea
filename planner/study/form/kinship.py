"""Which pieces of a library hold the same music, or other settings of one tune."""

from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from planner.core.fingerprint import MOST_TURNS, Fingerprint, Kin, Likeness

SAME_MUSIC = 0.6
"""Share of its music that a piece shares with one that holds it (chorales of music21's corpus: copies share
0.75 and more, other settings of the same tune at most 0.48)."""
SAME_TUNE = 0.35
"""Share of its tune that a piece shares with another setting of it (the same corpus)."""
LEAST_TURNS = 12
"""Turns below which nothing is claimed (house choice)."""

Numbers = NDArray[np.uint32]


class _Shelf:
    """The turns of one kind of many pieces, sorted, each with its piece."""

    def __init__(self, pieces: Mapping[int, tuple[int, ...]]) -> None:
        self.ids = np.array(list(pieces), dtype=np.int64)
        self.own = [np.array(turns, dtype=np.uint32) for turns in pieces.values()]
        sizes = [len(turns) for turns in self.own]
        self.owner = np.repeat(np.arange(len(sizes)), sizes)
        self.turns = np.concatenate([np.zeros(0, dtype=np.uint32), *self.own])
        order = np.argsort(self.turns, kind="stable")
        self.turns, self.owner = self.turns[order], self.owner[order]
        self.bound = np.array([_bound(turns) for turns in self.own], dtype=np.int64)

    def shared_with(self, asked: Numbers) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
        """Of each piece: turns shared with those asked for, and how many each of the two has to compare.

        Only turns below the bounds of both count: up to there, all of both are known.
        """
        lows = np.searchsorted(self.turns, asked, side="left")
        highs = np.searchsorted(self.turns, asked, side="right")
        hits = np.concatenate(
            [
                np.zeros(0, dtype=np.int64),
                *(self.owner[a:b] for a, b in zip(lows, highs, strict=True) if b > a),
            ]
        )
        shared = np.bincount(hits, minlength=len(self.ids)).astype(np.int64)
        near = np.flatnonzero(shared)
        bound = np.minimum(self.bound, _bound(asked))
        mine, theirs = np.zeros_like(shared), np.zeros_like(shared)
        for at in near.tolist():
            mine[at] = np.searchsorted(asked, bound[at], side="right")
            theirs[at] = np.searchsorted(self.own[at], bound[at], side="right")
        return shared, mine, theirs


def _bound(turns: Numbers) -> int:
    """Up to which number all turns of a piece are kept."""
    return int(turns[-1]) if len(turns) >= MOST_TURNS else 2**32


def find_likenesses(prints: Mapping[int, Fingerprint], asked: frozenset[int]) -> Iterator[Likeness]:
    """Those of the pieces asked for beside all: the pairs that hold the same music or the same tune.

    Args:
        prints: By piece, its fingerprint.
        asked: Which pieces to compare with all; a pair of two of them is found once.

    Example:
        >>> turns = tuple(range(0, 4000, 100))
        >>> prints = {1: Fingerprint(turns, turns, turns), 2: Fingerprint(turns[:30], turns[:30], ())}
        >>> [(one.other_id, one.kin.value) for one in find_likenesses(prints, frozenset({1}))]
        [(2, 'same')]
    """
    music = _Shelf({piece: each.music for piece, each in prints.items()})
    lines = _Shelf({piece: each.lines for piece, each in prints.items()})
    tunes = _Shelf({piece: each.tune for piece, each in prints.items()})
    place = {piece: at for at, piece in enumerate(prints)}
    for piece in sorted(asked & prints.keys()):
        at = place[piece]
        same = _shares(*music.shared_with(music.own[at]), of_shorter=True)
        tune = np.maximum(
            _shares(*lines.shared_with(tunes.own[at]), of_shorter=False),
            _shares(*_turned(tunes.shared_with(lines.own[at])), of_shorter=False),
        )
        for other in np.flatnonzero((same >= SAME_MUSIC) | (tune >= SAME_TUNE)).tolist():
            other_id = int(music.ids[other])
            if other_id == piece or (other_id in asked and other_id < piece):
                continue
            kin = Kin.SAME if same[other] >= SAME_MUSIC else Kin.TUNE
            share = same[other] if kin is Kin.SAME else tune[other]
            yield Likeness(min(piece, other_id), max(piece, other_id), kin, round(float(share), 3))


Counts = NDArray[np.int64]


def _turned(counts: tuple[Counts, Counts, Counts]) -> tuple[Counts, Counts, Counts]:
    shared, mine, theirs = counts
    return shared, theirs, mine


def _shares(shared: Counts, mine: Counts, theirs: Counts, *, of_shorter: bool) -> NDArray[np.float64]:
    """What is shared of mine, or of the shorter of the two; 0 where there is too little to tell."""
    whole = np.minimum(mine, theirs) if of_shorter else mine
    return np.where(whole >= LEAST_TURNS, shared / np.maximum(whole, 1), 0.0)
