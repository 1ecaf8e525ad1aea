"""How clearly the music comes to rest at each moment: by the page, the melody, the bass and the words."""

from dataclasses import dataclass

import numpy as np

from planner.study.form.leading_line import leading_line, sung_part
from planner.study.notes.arrays import distinct, numbered, within
from planner.study.notes.columns import Bools, Columns, Floats, Ints, Line, asked_once
from planner.study.notes.sonority import LOF_LOW, Heads, Sonority, beat_ticks, heads_of, sonority_of

_SILENT = 99
_STRONG_POINTS = ".;:!?"
_POINTS = ",–—"
_CLOSERS = "\"'’”»)]"


WEIGHTS: dict[str, float] = {
    "bias": -9.86,
    "fifth": 0.96,  # the bass falls a fifth or rises a fourth into the root of a triad
    "leading": 0.83,  # the leading tone of that root went before
    "triad": -0.29,  # a third or fifth above the bass, no seventh and no fourth: a chord that can stand
    "unstable": -0.14,  # a seventh or a fourth above the bass
    "downbeat": -0.56,
    "strong": 1.47,  # the middle of a bar that can be halved
    "offbeat": -0.96,
    "melody_long": 1.03,  # doublings of the melody's usual note
    "still": 1.42,  # beats until anything is struck again, at most 4
    "held": 1.08,  # the same for each part, at most 2, the mean
    "together": 3.29,  # share of the parts that strike here
    "melody_rest": 0.49,  # beats of rest after the melody's note, at most 2
    "tonic_melody": 1.01,  # the melody has the note of the bass
    "step_in": 0.77,  # the melody came by step
    "leap_out": 0.92,  # the melody goes on by a leap
    "comma": 2.76,  # a comma or dash after the syllable
    "full_stop": 3.79,  # a stronger point
    "inside_word": -2.91,  # the syllable or its word goes on
    "capital": -0.88,  # a capital follows
    "texted": -0.11,  # there is a text
}
"""What is looked at in each slice, and how much it speaks for the end of a phrase there, in logits.

Source: logistic regression on the odd-numbered chorales of J. S. Bach in music21's corpus with their fermatas
taken out (with their text and without) and on every second song with piano of the reference data, where the
text has a point; ``python -m tests.benchmarks.learn_phrase_ends``. Figures are reported on the others.
"""
FEATURES = tuple(WEIGHTS)


@dataclass(frozen=True, eq=False)
class Ends:
    """Evidence for the end of a phrase at each slice of the sonority.

    Attributes:
        features: Shape ``(n_slices, len(FEATURES))``.
        strength: Logit of the chance that a phrase ends with what begins there.
        last_measure: Measure in which the melody's note of the slice ends.
        shown: True where the page or silence shows the end: a fermata, a rest of all, the end of the score.
    """

    features: Floats
    strength: Floats
    last_measure: Ints
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
    last = sonority.measure
    if line is not None and len(line):
        _melody(columns, sonority, line, at)
        _text(columns, sonority, line, at)
        last = _last_measures(columns, sonority, line)
    return Ends(table, table @ np.array(list(WEIGHTS.values())), last, sonority.pause == 2)


def _last_measures(columns: Columns, sonority: Sonority, line: Line) -> Ints:
    """The measure in which the melody's note of each slice ends; that of the slice where it has none."""
    note = np.searchsorted(line.onset, sonority.start, side="right") - 1
    end = np.where(note >= 0, line.end[np.maximum(note, 0)], 0)
    last = np.searchsorted(columns.measure_start, end - 1, side="right") - 1
    return np.asarray(within(np.maximum(last, sonority.measure), 0, len(columns.measure_start) - 1))


def _has(sonority: Sonority, rows: Ints, lof: Ints) -> Floats:
    """Whether a spelled pitch class sounds in each of some slices, 0 or 1."""
    place = lof - LOF_LOW
    inside = (place >= 0) & (place < sonority.mass.shape[1])
    return np.asarray(
        inside & (sonority.mass[rows, within(place, 0, sonority.mass.shape[1] - 1)] > _HEARD)
    ).astype(float)


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
    at["triad"][:] = (
        sounding
        * np.maximum(fifth_above, np.maximum(third, minor_third))
        * (1 - seventh)
        * (1 - sixth_fourth)
    )
    at["unstable"][:] = sounding * np.maximum(seventh, sixth_fourth)
    at["fifth"][:] = sounding * (other - bass == 1) * at["triad"]
    at["leading"][:] = (
        sounding
        * np.maximum(_has(sonority, before, bass + 5), _has(sonority, np.maximum(rows - 2, 0), bass + 5))
        * at["triad"]
        * (1 - _has(sonority, rows, bass + 5))
    )


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
    onsets = distinct(heads.onset[heads.struck])
    following = np.searchsorted(onsets, sonority.start, side="right")
    until = np.append(onsets, columns.total)[following] - sonority.start
    at["still"][:] = within(until / beat, 0, 4)
    names, index = numbered(heads.part)
    every = names.tolist()
    parts = max(len(every), 1)
    for part in every:
        own = distinct(heads.onset[heads.struck & (heads.part == part)])
        after = np.searchsorted(own, sonority.start, side="right")
        wait = np.append(own, columns.total)[after] - sonority.start
        at["held"][:] += within(wait / beat, 0, 2) / parts
    slices = within(np.searchsorted(sonority.start, heads.onset, side="right") - 1, 0, len(sonority) - 1)
    on_time = heads.struck & (heads.onset == sonority.start[slices])
    struck = np.zeros((len(sonority), parts), dtype=bool)
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
    at["melody_long"][:] = known * begins * within(np.log2(np.maximum(gap[note], 1) / usual), -2, 3)
    rest = np.append(line.onset[1:], columns.total) - line.end
    last = known & (np.append(sonority.start[1:], columns.total) >= line.end[note])
    at["melody_rest"][:] = within(rest[note] / beats, 0, 2) * known * (last | begins)
    pitch_class = np.asarray(np.rint(line.sounding) % 12, dtype=np.int64)
    bass_class = (sonority.bass * 7) % 12
    at["tonic_melody"][:] = known * (sonority.bass != _SILENT) * (pitch_class[note] == bass_class)
    move = np.diff(line.diatonic, prepend=line.diatonic[:1])
    at["step_in"][:] = known * begins * (np.abs(move[note]) == 1)
    out = np.append(np.diff(line.diatonic), 0)
    at["leap_out"][:] = known * begins * (np.abs(out[note]) >= 3)


def _text(columns: Columns, sonority: Sonority, line: Line, at: dict[str, Floats]) -> None:
    """The syllable under the melody's note: a point after it, a word that goes on, a capital that follows."""
    part = sung_part(columns)
    if part is None:
        return
    syllables = [(note, part.part.notes[at].lyric) for note, at in enumerate(line.note.tolist())]
    sung = [(note, text) for note, text in syllables if text]
    if not sung:
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
