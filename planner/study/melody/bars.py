"""What speaks for and against a part having the tune, bar by bar."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from planner.core.instruments import get_instrument
from planner.study.form.doublings import bar_contents
from planner.study.notes.arrays import distinct, first_places, numbered, within
from planner.study.notes.columns import TICKS_PER_QUARTER, Bools, Columns, Floats, Ints, Line, PartColumns

FEATURES = (
    "top", "height", "register", "sounding", "entry", "notes", "busier", "onsets", "together", "same class",
    "steps", "rhythm", "repeated", "slurred", "solo", "behind", "first violin",
)  # fmt: skip
"""What is measured of a bar of a part, in order; ``bar_features`` says how."""
STEP = 2
"""Semitones up to which a move is a step."""
NEAR = 2 * TICKS_PER_QUARTER
"""Longest rest between two notes of one line (house choice)."""
LOWEST, HIGHEST = -1.5, 1.75
"""Octaves from middle C beyond which being lower or higher says nothing more (house choice).

From the bottom of a bass voice to the A above the staff: bells and piccolos are no more the tune for being
higher.
"""
SOLO_LASTS = 4
"""Bars for which a word such as *solo* or *dolce* is taken to hold (house choice: a phrase)."""
_SOLO = re.compile(r"\b(solo|espr|dolce|cant|marc|ben |singen|ausdr)", re.IGNORECASE)
"""Words over the main line (common practice)."""


@dataclass(frozen=True, eq=False)
class BarFeatures:
    """The features of each bar of each part.

    Attributes:
        values: Shape ``(n_measures, n_parts, n_features)``; 0 where the part rests throughout.
        plays: Where a part sounds at all in a bar; shape ``(n_measures, n_parts)``.
    """

    values: Floats
    plays: Bools


def bar_features(columns: Columns) -> BarFeatures:
    """The features of each bar of each part, by its line: the highest note at each moment.

    Every feature is of the bar of the part:

    - ``top``, ``height``: the share of its sounding time on which it is the highest, and the mean share of
      the other sounding parts below it.
    - ``register``: its mean sounding pitch in octaves above middle C, within bounds.
    - ``sounding``, ``entry``: the share of the bar it sounds; whether it rested in the bar before.
    - ``notes``, ``busier``: the logarithm of its notes and 1; the same less that of the busiest part.
    - ``onsets``: the share of the bar's onsets that are its own.
    - ``together``, ``same class``: the mean share of the other playing parts that strike with it; of those
      that strike, the share with the same pitch class.
    - ``steps``, ``rhythm``: the share of its notes reached by step; the logarithm of its different note
      lengths and 1.
    - ``repeated``: whether the bar before was the same.
    - ``slurred``, ``solo``: the share of its notes under slurs; whether a word such as *solo* holds.
    - ``behind``, ``first violin``: whether its instrument stands above it in the score too; whether it is
      the first violins.

    Example:
        >>> from planner.core.score import Score
        >>> from planner.study.notes.columns import columns_of
        >>> bar_features(columns_of(Score("Empty", (), ()))).plays.shape
        (0, 0)
    """
    measures, parts = len(columns.measure_start), len(columns.parts)
    if not measures or not parts:
        return BarFeatures(np.zeros((measures, parts, len(FEATURES))), np.zeros((measures, parts), np.bool_))
    found = {name: np.zeros((measures, parts)) for name in FEATURES}
    plays = _add_heights(columns, found)
    _add_company(columns, found, plays)
    for part in columns.pitched():
        _add_line(columns, part, found)
    found["entry"][1:] = plays[1:] & ~plays[:-1]
    found["entry"][0] = plays[0]
    found["busier"] = found["notes"] - np.where(plays, found["notes"], 0.0).max(axis=1, keepdims=True)
    for index, (behind, violin) in enumerate(_desks(columns)):
        found["behind"][:, index], found["first violin"][:, index] = behind, violin
    values = np.stack([found[name] for name in FEATURES], axis=-1)
    return BarFeatures(np.where(plays[..., None], values, 0.0), plays)


_Found = dict[str, Floats]
"""Each feature, shape ``(n_measures, n_parts)``, to be filled in."""


def _add_heights(columns: Columns, found: _Found) -> Bools:
    """What lies above and below; also where a part sounds at all."""
    lines = [part.line for part in columns.parts]
    start = columns.measure_start
    moment = distinct(np.concatenate([start, *(line.onset for line in lines)]))
    time = np.diff(np.append(moment, max(columns.total, int(moment[-1])))).astype(np.float64)
    bars, first = first_places(np.searchsorted(start, moment, side="right") - 1)
    pitch = np.stack([_pitch_at(line, moment) for line in lines], axis=1)
    sounds = pitch > _SILENT
    ordered = np.sort(np.where(sounds, pitch, np.inf), axis=1)
    below = np.stack([(ordered < pitch[:, [at]]).sum(axis=1) for at in range(len(lines))], axis=1)
    share = below / np.maximum(sounds.sum(axis=1, keepdims=True) - 1, 1)
    is_top = sounds & (pitch == pitch.max(axis=1, keepdims=True))

    def timed(values: Floats | Bools) -> Floats:
        """Time in each bar, each moment weighed by a value from 0 to 1."""
        whole = np.zeros_like(found["top"])
        whole[bars] = np.add.reduceat(np.where(sounds, values, 0.0) * time[:, None], first, axis=0)
        return whole

    sounding = timed(sounds)
    found["top"] = timed(is_top) / np.maximum(sounding, 1.0)
    found["height"] = timed(share) / np.maximum(sounding, 1.0)
    found["sounding"] = sounding / np.maximum(columns.measure_length, 1)[:, None]
    return np.asarray(sounding > 0, dtype=np.bool_)


_SILENT = -1.0
"""Stands for the pitch of a part that does not sound."""


def _pitch_at(line: Line, moment: Ints) -> Floats:
    """Sounding pitch of a line at some moments, ``_SILENT`` where it rests."""
    if not len(line):
        return np.full(len(moment), _SILENT)
    at = np.searchsorted(line.onset, moment, side="right") - 1
    sounds = (at >= 0) & (line.end[at] > moment)
    return np.where(sounds, line.sounding[at], _SILENT)


def _add_company(columns: Columns, found: _Found, plays: Bools) -> None:
    """Who strikes at the same time, and the same pitch class."""
    lines = [part.line for part in columns.parts]
    onset = np.concatenate([line.onset for line in lines])
    if not len(onset):
        return
    pitch = np.concatenate([_classes(line) for line in lines])
    moments, moment = numbered(onset)
    parts_there = np.bincount(moment)
    _, note = numbered(moment * 12 + pitch)
    alike = np.bincount(note)
    struck = np.bincount(np.searchsorted(columns.measure_start, moments, side="right") - 1,
                         minlength=len(plays))  # fmt: skip
    others = np.maximum(plays.sum(axis=1) - 1, 1)
    begin = 0
    for part, line in zip(columns.parts, lines, strict=True):
        mine = slice(begin, begin + len(line))
        begin += len(line)
        with_it = (parts_there[moment[mine]] - 1).astype(np.float64)
        same = alike[note[mine]] - 1
        found["together"][:, part.index] = _mean(line, with_it / others[line.measure], len(plays))
        found["same class"][:, part.index] = _mean(line, same / np.maximum(with_it, 1.0), len(plays))
        found["onsets"][:, part.index] = np.bincount(line.measure, minlength=len(plays)) / np.maximum(
            struck, 1
        )


def _classes(line: Line) -> Ints:
    return np.asarray(np.rint(line.sounding).astype(np.int64) % 12)


def _mean(line: Line, values: Floats | Bools, measures: int) -> Floats:
    """Mean of values of a line's notes, bar by bar; 0 where it strikes nothing."""
    notes = np.bincount(line.measure, minlength=measures)
    return np.asarray(np.bincount(line.measure, values, minlength=measures) / np.maximum(notes, 1))


def _add_line(columns: Columns, part: PartColumns, found: _Found) -> None:
    """How the line of a part moves, and what its page says."""
    line, at, measures = part.line, part.index, len(columns.measure_start)
    if not len(line):
        return
    rest = line.onset[1:] - line.end[:-1]
    move = np.abs(np.diff(line.sounding))
    is_step = np.append(False, (rest < NEAR) & (move > 0) & (move <= STEP))
    full = columns.measure_length[line.measure]
    length = np.minimum(np.append(np.diff(line.onset), line.duration[-1]), full)
    longest = int(columns.measure_length.max()) + 1
    lengths = distinct(line.measure * longest + length) // longest
    octaves = _mean(line, (line.sounding - _MIDDLE_C) / 12, measures)
    found["register"][:, at] = within(octaves, LOWEST, HIGHEST)
    found["notes"][:, at] = np.log1p(np.bincount(line.measure, minlength=measures))
    found["steps"][:, at] = _mean(line, is_step, measures)
    found["rhythm"][:, at] = np.log1p(np.bincount(lengths, minlength=measures))
    found["slurred"][:, at] = _mean(line, _under_slurs(part)[line.note], measures)
    for words in part.part.words:
        if _SOLO.search(words.text):
            found["solo"][words.measure : words.measure + SOLO_LASTS, at] = 1.0
    contents = bar_contents(columns)
    shape, lowest = contents.shape[:, at], contents.lowest[:, at]
    found["repeated"][1:, at] = (shape[1:] == shape[:-1]) & (lowest[1:] == lowest[:-1]) & (shape[1:] != 0)


_MIDDLE_C = 60


def _under_slurs(part: PartColumns) -> Bools:
    """For each note of a part whether a slur is over it."""
    notes = part.part.notes
    begun = np.array([note.slurs_started for note in notes], dtype=np.int64)
    ended = np.array([note.slurs_stopped for note in notes], dtype=np.int64)
    return np.asarray((np.cumsum(begun - ended) > 0) | (ended > 0), dtype=np.bool_)


def _desks(columns: Columns) -> Iterator[tuple[bool, bool]]:
    """For each part whether its instrument stands above it too, and whether it is the first violins."""
    above: set[str] = set()
    for part in columns.parts:
        name = part.part.instrument
        kind = get_instrument(name).group or name if name else ""
        yield bool(kind) and kind in above, kind == "violin" and kind not in above
        above.add(kind)
