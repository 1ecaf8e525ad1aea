"""Which key the whole piece belongs to."""

import re
from itertools import pairwise

import numpy as np

from planner.study.notes.columns import Columns, Floats, Ints
from planner.study.notes.sonority import LOF_LOW, Sonority
from planner.study.tonal.chords import KEYS, N_KEYS, Key, key_index
from planner.study.tonal.decode import Path

SHARE, LAST, FIRST, FINAL_BASS, SIGNATURE, OLD_SIGNATURE, FINAL_MODE, NAMED = (
    1.0, 0.5, 0.35, 0.6, 0.3, 0.15, 0.2, 0.3,
)  # fmt: skip
"""Weights of: share of the time, key of the end, key of the beginning, last bass note, signature,
signature with one accidental too few (older habit), mode of the last chord, title.

Source: a piece is held to belong to the key it ends in (common practice). The sizes are a house
choice, round numbers; eight other settings tried beside them gave the same chorales to within one.
"""

_TITLE = re.compile(r"\b([A-Ga-g])(?:[ -](flat|sharp)|([♭♯]))?[ -](major|minor|dur|moll)\b", re.IGNORECASE)


HALF = 0.5
"""Least share of the time in a key that no signature names, for it to be the home key (house choice)."""
FEWEST_NOTES = 3
"""Fewest different notes that can tell a key (house choice: a triad)."""
LEAST_IN_SCALE = 0.6
"""Least share of the sounding time in the notes of the home key, in minor with the sixth and seventh also
raised (house choice: eight of twelve notes, evenly used, would reach 0.67 in music without a key)."""


def home_key(columns: Columns, sonority: Sonority, path: Path, signatures: Ints) -> Key | None:
    """The key a piece belongs to, by its end, its beginning, its signature and where it spends its time.

    In a file of several movements the first one counts. With a da capo the end is at the *fine*; where no
    *fine* is written, nothing is taken from the end. None where what speaks for a key is too little: the
    signature names another one, and the piece does not both rest on the tonic and stay in the key for half
    its time, or much of what sounds is outside its scale; as in music that has no key, two keys, or moves
    from one to another.
    """
    end, is_close = _end(columns, signatures)
    inside = np.flatnonzero(sonority.measure < end)
    if not len(inside):
        inside = np.arange(len(sonority))
    shares = _shares(sonority, path.key, inside)
    score = SHARE * shares
    score[path.key[inside[0]]] += FIRST
    if is_close:
        score[path.key[inside[-1]]] += LAST
        score += _ending(sonority, inside)
    fifths = int(signatures[sonority.measure[inside[0]]])
    if fifths != 99:
        apart = np.array([key.fifths - fifths for key in KEYS])
        minor = np.array([key.is_minor for key in KEYS])
        score += SIGNATURE * (apart == 0) + OLD_SIGNATURE * np.where(minor, apart == -1, apart == 1)
    named = key_of_title(f"{columns.score.title} {columns.score.subtitle}")
    if named is not None:
        score[named] += NAMED
    best = int(score.argmax())
    named_by_page = {int(signatures[sonority.measure[inside[at]]]) for at in (0, -1)}
    rests = sonority.bass[inside[sonority.bass[inside] != 99][-1:]] == KEYS[best].tonic
    is_sure = KEYS[best].fifths in named_by_page or (rests.any() and shares[best] >= HALF)
    heard = sonority.mass[inside].any(axis=0).sum() >= FEWEST_NOTES
    return (
        KEYS[best]
        if is_sure and heard and _in_scale(sonority, inside, KEYS[best]) >= LEAST_IN_SCALE
        else None
    )


def _in_scale(sonority: Sonority, inside: Ints, key: Key) -> float:
    """Share of the sounding time in the notes of a key."""
    time = (sonority.mass * (sonority.end - sonority.start)[:, None])[inside].sum(axis=0)
    away = np.arange(len(time)) + LOF_LOW - key.tonic
    steps = (-4, -3, -2, -1, 0, 1, 2, 3, 5) if key.is_minor else (-1, 0, 1, 2, 3, 4, 5)
    return float(time[np.isin(away, steps)].sum() / max(float(time.sum()), 1e-9))


def _shares(sonority: Sonority, keys: Ints, inside: Ints) -> Floats:
    length = (sonority.end - sonority.start)[inside].astype(np.float64)
    shares = np.zeros(N_KEYS)
    np.add.at(shares, keys[inside], length / max(float(length.sum()), 1.0))
    return shares


def _ending(sonority: Sonority, inside: Ints) -> Floats:
    """Support from the last bass note and from the third above it."""
    score = np.zeros(N_KEYS)
    heard = inside[sonority.bass[inside] != 99]
    if not len(heard):
        return score
    bass, mass = int(sonority.bass[heard[-1]]), sonority.mass[heard[-1]]
    thirds = [float(mass[at]) if 0 <= (at := bass + step - LOF_LOW) < len(mass) else 0.0 for step in (4, -3)]
    for at, key in enumerate(KEYS):
        if key.tonic == bass:
            score[at] += FINAL_BASS + FINAL_MODE * (thirds[key.is_minor] > thirds[not key.is_minor])
    return score


def _end(columns: Columns, signatures: Ints) -> tuple[int, bool]:
    """Position after the last measure of the piece or first movement, and whether the music closes there."""
    end = _end_of_movement(columns, signatures)
    inside = [mark for mark in columns.score.marks if mark.measure < end]
    fine = [mark.measure for mark in inside if mark.kind == "fine"]
    if fine:
        return fine[0] + 1, True
    kinds = {mark.kind for mark in inside}
    return end, "da-capo" not in kinds or "coda" in kinds


def _end_of_movement(columns: Columns, signatures: Ints) -> int:
    """Position after the measure where the piece, or its first movement, ends on the page."""
    measures = columns.score.measures
    repeats = {mark.measure for mark in columns.score.marks if mark.kind == "repeat-end"}
    for measure, after in pairwise(measures):
        fresh = after.time_changes or signatures[after.index] != signatures[measure.index]
        closes = measure.right_bar == "light-heavy" and measure.index not in repeats
        if closes and fresh and measure.index >= _SHORTEST_MOVEMENT:
            return after.index
    return len(measures)


_SHORTEST_MOVEMENT = 15
"""Fewest measures before a closing double bar is taken for the end of a movement (house choice)."""


def key_of_title(title: str) -> int | None:
    """Place in ``KEYS`` of a key that a title names in English or German; None without one.

    Example:
        >>> KEYS[key_of_title("String Quartet in B-flat major")].name
        'Bb major'
        >>> key_of_title("March of the Majors") is None
        True
    """
    found = _TITLE.search(title)
    if not found:
        return None
    letter, word, sign, mode = found.groups()
    alteration = {"flat": "b", "sharp": "#", "♭": "b", "♯": "#"}.get((word or sign or "").lower(), "")
    german = mode.lower() in ("dur", "moll")
    tonic = letter.upper() + alteration
    if german and tonic == "B":
        tonic = "Bb"
    return key_index(f"{tonic} {'minor' if mode.lower() in ('minor', 'moll') else 'major'}")
