"""How clearly the music comes to rest at each moment: by the page, the melody, the bass and the words."""

from dataclasses import dataclass

import numpy as np

from planner.core.score import Part
from planner.study.notes.columns import Bools, Columns, Floats, Ints, Line, asked_once
from planner.study.notes.sonority import LOF_LOW, Heads, Sonority, beat_ticks, heads_of, sonority_of

_SILENT = 99
_STRONG_POINTS = ".;:!?"
_POINTS = ",–—"
_CLOSERS = "\"'’”»)]"


@asked_once
def leading_line(columns: Columns) -> Line | None:
    """The line that phrases are counted by; None without pitches.

    The first part that is sung, since its text tells where phrases end; else the highest part among those at
    least half as busy as the busiest.
    """
    lines = [part.line for part in columns.pitched() if len(part.line)]
    if not lines:
        return None
    sung = [
        part.line
        for part in columns.pitched()
        if 2 * sum(bool(note.lyric) for note in part.part.notes) > len(part.line)
    ]
    if sung:
        return sung[0]
    busiest = max(len(line) for line in lines)
    playing = [line for line in lines if 2 * len(line) >= busiest]
    return max(playing, key=lambda line: float(line.sounding.mean()))


FEATURES = (
    "bias",
    "fifth",  # the bass falls a fifth or rises a fourth into the root of a triad
    "leading",  # the leading tone of that root went before
    "triad",  # a root, a fifth or third above it and no seventh: a chord that can stand
    "unstable",  # a seventh or a six-four above the bass
    "downbeat", "strong", "offbeat",
    "melody_long",  # the melody's note against its usual, by doublings
    "still",  # beats until anything is struck again
    "together",  # share of the sounding parts that strike here
    "melody_rest",  # beats of rest in the melody after its note
    "tonic_melody",  # the melody has the root
    "step_in",  # the melody came by step
    "leap_out",  # the melody goes on by a leap
    "comma", "full_stop", "inside_word", "capital", "texted",
)  # fmt: skip
"""What is looked at in each slice."""


@dataclass(frozen=True, eq=False)
class Ends:
    """Evidence for the end of a phrase at each slice of the sonority.

    Attributes:
        features: Shape ``(n_slices, len(FEATURES))``.
        shown: True where the page or silence shows the end: a fermata, a rest of all, the end of the score.
    """

    features: Floats
    shown: Bools


@asked_once
def ends_of(columns: Columns) -> Ends:
    """The evidence for phrase ends in a score with pitches."""
    sonority, heads = sonority_of(columns), heads_of(columns)
    table = np.zeros((len(sonority), len(FEATURES)))
    at = {name: table[:, place] for place, name in enumerate(FEATURES)}
    at["bias"][:] = 1.0
    _harmony(sonority, at)
    _meter_and_stillness(columns, sonority, heads, at)
    line = leading_line(columns)
    if line is not None and len(line):
        _melody(columns, sonority, line, at)
        _text(columns, sonority, line, at)
    return Ends(table, sonority.pause == 2)


def _has(sonority: Sonority, rows: Ints, lof: Ints) -> Floats:
    """Whether a spelled pitch class sounds in each of some slices, 0 or 1."""
    place = lof - LOF_LOW
    inside = (place >= 0) & (place < sonority.mass.shape[1])
    return (inside & (sonority.mass[rows, np.clip(place, 0, sonority.mass.shape[1] - 1)] > _HEARD)).astype(float)


_HEARD = 0.3
"""Least mass of a pitch class that is heard in a slice: a tenth of its length (the mass is a root)."""


def _harmony(sonority: Sonority, at: dict[str, Floats]) -> None:
    bass = sonority.bass
    rows = np.arange(len(bass))
    sounding = bass != _SILENT
    before = np.maximum(rows - 1, 0)
    other = _last_other_bass(bass)
    fifth_above, third = _has(sonority, rows, bass + 1), _has(sonority, rows, bass + 4)
    minor_third = _has(sonority, rows, bass - 3)
    seventh = np.maximum(_has(sonority, rows, bass - 2), _has(sonority, rows, bass - 6))
    sixth_fourth = _has(sonority, rows, bass - 1)
    at["triad"][:] = sounding * np.maximum(fifth_above, np.maximum(third, minor_third)) * (1 - seventh) * (
        1 - sixth_fourth
    )
    at["unstable"][:] = sounding * np.maximum(seventh, sixth_fourth)
    at["fifth"][:] = sounding * (other - bass == 1) * at["triad"]
    at["leading"][:] = sounding * np.maximum(
        _has(sonority, before, bass + 5), _has(sonority, np.maximum(rows - 2, 0), bass + 5)
    ) * at["triad"] * (1 - _has(sonority, rows, bass + 5))


def _last_other_bass(bass: Ints) -> Ints:
    """For each slice the last bass before it that is another one; far away where there is none."""
    changes = np.flatnonzero(np.append(True, bass[1:] != bass[:-1]))
    run = np.searchsorted(changes, np.arange(len(bass)), side="right") - 1
    earlier = np.where(run > 0, bass[changes[np.maximum(run - 1, 0)]], 1000)
    return np.asarray(earlier, dtype=np.int64)


def _meter_and_stillness(columns: Columns, sonority: Sonority, heads: Heads, at: dict[str, Floats]) -> None:
    beats = np.array([beat_ticks(m.time) for m in columns.score.measures], dtype=np.int64)
    beat = beats[sonority.measure]
    weight = sonority.weight
    at["downbeat"][:] = sonority.offset == 0
    at["strong"][:] = weight == 2
    at["offbeat"][:] = weight == 0
    onsets = np.unique(heads.onset[heads.struck])
    following = np.searchsorted(onsets, sonority.start, side="right")
    until = np.where(
        following < len(onsets), onsets[np.minimum(following, len(onsets) - 1)], columns.total
    ) - sonority.start
    at["still"][:] = np.clip(until / beat, 0, 4)
    parts = max(len({*heads.part.tolist()}), 1)
    slices = np.clip(np.searchsorted(sonority.start, heads.onset, side="right") - 1, 0, len(sonority) - 1)
    on_time = heads.struck & (heads.onset == sonority.start[slices])
    struck = np.zeros((len(sonority), parts), dtype=bool)
    index = np.unique(heads.part, return_inverse=True)[1]
    struck[slices[on_time], index[on_time]] = True
    at["together"][:] = struck.mean(axis=1)


def _melody(columns: Columns, sonority: Sonority, line: Line, at: dict[str, Floats]) -> None:
    place = np.searchsorted(line.onset, sonority.start, side="right") - 1
    known = place >= 0
    note = np.maximum(place, 0)
    gap = np.append(line.onset[1:], columns.total) - line.onset
    beats = np.array([beat_ticks(m.time) for m in columns.score.measures], dtype=np.int64)[sonority.measure]
    usual = max(float(np.median(gap)), 1.0)
    begins = known & (line.onset[note] == sonority.start)
    at["melody_long"][:] = known * begins * np.clip(np.log2(np.maximum(gap[note], 1) / usual), -2, 3)
    rest = np.append(line.onset[1:], columns.total) - line.end
    last = known & (np.append(sonority.start[1:], columns.total) >= line.end[note])
    at["melody_rest"][:] = np.clip(rest[note] / beats, 0, 2) * known * (last | begins)
    pitch_class = np.asarray(np.rint(line.sounding) % 12, dtype=np.int64)
    bass_class = (sonority.bass * 7) % 12
    at["tonic_melody"][:] = known * (sonority.bass != _SILENT) * (pitch_class[note] == bass_class)
    move = np.diff(line.diatonic, prepend=line.diatonic[:1])
    at["step_in"][:] = known * begins * (np.abs(move[note]) == 1)
    out = np.append(np.diff(line.diatonic), 0)
    at["leap_out"][:] = known * begins * (np.abs(out[note]) >= 3)


def _text(columns: Columns, sonority: Sonority, line: Line, at: dict[str, Floats]) -> None:
    """The syllable under the melody's note: a point after it, a word that goes on, a capital that follows."""
    part = _part_of(columns, line)
    syllables = [(note, part.notes[at].lyric) for note, at in enumerate(line.note.tolist())]
    sung = [(note, text) for note, text in syllables if text]
    if 2 * len(sung) < len(line):
        return
    place = np.searchsorted(line.onset, sonority.start, side="right") - 1
    begins_at = np.array([note for note, _ in sung], dtype=np.int64)
    which = np.searchsorted(begins_at, place, side="right") - 1
    held = np.append(begins_at[1:], len(line))  # a syllable lasts until the next one
    known = (which >= 0) & (place >= 0)
    which = np.maximum(which, 0)
    is_last = held[which] == place + 1
    values = {"comma": [], "full_stop": [], "inside_word": [], "capital": []}  # type: dict[str, list[bool]]
    for (_, text), (_, after) in zip(sung, [*sung[1:], (0, "A")], strict=True):
        bare = text.rstrip(_CLOSERS)
        values["comma"].append(bare.endswith(tuple(_POINTS)))
        values["full_stop"].append(bare.endswith(tuple(_STRONG_POINTS)))
        values["inside_word"].append(text.endswith("-"))
        values["capital"].append(after.lstrip("\"'‘“«„([")[:1].isupper())
    for name, found in values.items():
        at[name][:] = np.array(found, dtype=float)[which] * known * is_last
    at["inside_word"][:] = np.maximum(at["inside_word"], known & ~is_last)
    at["texted"][:] = 1.0


def _part_of(columns: Columns, line: Line) -> Part:
    return next(part.part for part in columns.pitched() if part.line is line)
