"""Variations of a score whose effect on a reader is known: each a function from a score to another score.

The level laws (``tests.benchmarks.level_laws``) read real files through them. Nothing of the study is asked,
``with_metronome`` aside, which needs the speeds that the program takes from words.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import TypeVar

from planner.core.instruments import get_instrument
from planner.core.pitch import Transposition
from planner.core.score import (
    Clef,
    Dynamic,
    Hairpin,
    KeySignature,
    Measure,
    Note,
    OctaveLine,
    Part,
    Score,
    TempoMark,
    TimeChange,
    TimeSignature,
    Words,
)
from planner.study.notes.columns import columns_of
from planner.study.time.meter import find_meters
from planner.study.time.tempo import find_tempo

SHARPS = "FCGDAEB"
VALUES = (
    "256th", "128th", "64th", "32nd", "16th", "eighth", "quarter", "half", "whole", "breve", "long",
)  # fmt: skip
ACCIDENTALS = {
    Fraction(0): "natural", Fraction(1): "sharp", Fraction(-1): "flat", Fraction(2): "double-sharp",
    Fraction(-2): "flat-flat", Fraction(3): "triple-sharp", Fraction(-3): "triple-flat",
    Fraction(1, 2): "quarter-sharp", Fraction(-1, 2): "quarter-flat",
    Fraction(3, 2): "three-quarters-sharp", Fraction(-3, 2): "three-quarters-flat",
}  # fmt: skip
FIFTH_UP, FIFTH_DOWN = Transposition(4, 7), Transposition(-4, -7)

Placed = TypeVar("Placed", Clef, Dynamic, KeySignature, Note, TempoMark, Words)


# Cutting


def first_measures(score: Score, count: int = 40) -> Score:
    """The beginning of a score; ties, hairpins and octave lines that reach beyond it end with it.

    Roadmap marks that stand after the cut are gone with it.
    """
    if len(score.measures) <= count:
        return score
    return replace(
        score,
        measures=score.measures[:count],
        parts=tuple(_cut(part, count, score.measures[count - 1]) for part in score.parts),
        marks=tuple(mark for mark in score.marks if mark.measure < count),
        tempos=tuple(mark for mark in score.tempos if mark.measure < count),
    )


def _cut(part: Part, count: int, last: Measure) -> Part:
    end = last.length_quarters
    notes = [note for note in part.notes if note.measure < count]
    return replace(
        part,
        notes=tuple(replace(n, tie_to_next=False) if _reaches(n, last) else n for n in notes),
        clefs=tuple(each for each in part.clefs if each.measure < count),
        keys=tuple(each for each in part.keys if each.measure < count),
        times=tuple(each for each in part.times if each.measure < count),
        dynamics=tuple(each for each in part.dynamics if each.measure < count),
        words=tuple(each for each in part.words if each.measure < count),
        hairpins=tuple(
            replace(each, end_measure=last.index, end_onset_quarters=end)
            if each.end_measure is not None and each.end_measure >= count
            else each
            for each in part.hairpins
            if each.measure < count
        ),
        octave_lines=tuple(
            replace(each, end_measure=last.index, end_onset_quarters=end)
            if each.end_measure >= count
            else each
            for each in part.octave_lines
            if each.measure < count
        ),
        transpositions=tuple(each for each in part.transpositions if each[0] < count),
    )  # fmt: skip


def _reaches(note: Note, last: Measure) -> bool:
    end = note.onset_quarters + note.duration_quarters
    return note.tie_to_next and note.measure == last.index and end >= last.length_quarters


# Tempo


def has_numbers(score: Score) -> bool:
    """Whether a printed number sets every speed: words alone, or beside playback, keep a mark from following."""
    columns = columns_of(score)
    spans = find_tempo(columns, find_meters(columns).spans).spans
    is_printed = all(mark.beat_unit_quarters is not None and mark.bpm is not None for mark in score.tempos)
    return is_printed and all(span.speed.source == "metronome" for span in spans)


def with_metronome(score: Score) -> Score:
    """The same piece with a printed metronome mark for each speed it has, and no tempo words."""
    columns = columns_of(score)
    spans = find_tempo(columns, find_meters(columns).spans).spans
    marks = [
        TempoMark(
            span.measure, span.onset, beat_unit_quarters=span.speed.unit_quarters, bpm=float(span.speed.bpm),
            quarter_bpm=float(span.speed.quarter_bpm),
        )
        for span in spans
    ]  # fmt: skip
    return replace(score, tempos=tuple(marks))


def at_tempo(score: Score, bpm: float, unit: Fraction = Fraction(1)) -> Score:
    """The same piece under one metronome mark."""
    mark = TempoMark(0, Fraction(0), "", unit, bpm, bpm * float(unit))
    return replace(score, tempos=(mark,))


def faster(score: Score, factor: float = 2.0) -> Score:
    """All numbers of its tempo marks, in print and for playback, times a factor."""
    return replace(score, tempos=tuple(_quicker(mark, factor) for mark in score.tempos))


def _quicker(mark: TempoMark, factor: float) -> TempoMark:
    def times(number: float | None) -> float | None:
        return None if number is None else number * factor

    return replace(
        mark, bpm=times(mark.bpm), bpm_high=times(mark.bpm_high), quarter_bpm=times(mark.quarter_bpm)
    )


def counted_in(score: Score, factor: Fraction) -> Score:
    """The same speeds counted in a note ``factor`` times as long; marks without a number as they were."""
    return replace(score, tempos=tuple(_counted(mark, factor) for mark in score.tempos))


def _counted(mark: TempoMark, factor: Fraction) -> TempoMark:
    if mark.beat_unit_quarters is None or mark.bpm is None:
        return mark
    high = None if mark.bpm_high is None else mark.bpm_high / float(factor)
    unit, bpm = mark.beat_unit_quarters * factor, mark.bpm / float(factor)
    return replace(mark, beat_unit_quarters=unit, bpm=bpm, bpm_high=high)


# Pitch


def a_fifth(score: Score, *, up: bool = True) -> Score | None:
    """Every part written a fifth away with its signatures; None where a signature would have eight signs."""
    step = 1 if up else -1
    if any(abs(key.fifths + step) > 7 for part in score.parts for key in part.keys):
        return None
    interval = FIFTH_UP if up else FIFTH_DOWN
    return replace(score, parts=tuple(_moved(part, interval, step) for part in score.parts))


def _moved(part: Part, interval: Transposition, fifths: int) -> Part:
    return replace(
        part,
        notes=tuple(_transposed(note, interval) for note in part.notes),
        keys=tuple(replace(key, fifths=key.fifths + fifths) for key in part.keys),
    )


def _transposed(note: Note, interval: Transposition) -> Note:
    if note.pitch is None:
        return note
    pitch = interval.to_sounding(note.pitch)
    accidental = ACCIDENTALS.get(pitch.alter, note.accidental) if note.accidental else ""
    return replace(note, pitch=pitch, accidental=accidental)


def by_octaves(part: Part, octaves: int) -> Part:
    """A part written some octaves higher, or lower below 0."""
    notes = [
        replace(n, pitch=replace(n.pitch, octave=n.pitch.octave + octaves)) if n.pitch else n
        for n in part.notes
    ]
    return replace(part, notes=tuple(notes))


def signature_at(part: Part, measure: int, onset: Fraction, staff: int) -> int:
    """Fifths of the signature in force on a staff; 0 before the first."""
    keys = part.keys_of(staff) or part.keys_of(1)
    found = [key.fifths for key in keys if (key.measure, key.onset_quarters) <= (measure, onset)]
    return found[-1] if found else 0


def alter_in(fifths: int, step: str) -> int:
    """What a signature does to a letter.

    Example:
        >>> alter_in(2, "C"), alter_in(-3, "A"), alter_in(1, "C")
        (1, -1, 0)
    """
    if fifths >= 0:
        return int(step in SHARPS[:fifths])
    return -int(step in SHARPS[fifths:])


def _in_key(part: Part, note: Note) -> int:
    assert note.pitch is not None
    fifths = signature_at(part, note.measure, note.onset_quarters, note.staff)
    return alter_in(fifths, note.pitch.step)


def without_accidentals(score: Score, every: int = 1) -> Score:
    """Accidentals outside the key struck, and the notes moved into the scale: all, or every second place.

    A place is one line or space of a bar, so that nothing has to be taken back within the bar; a note tied
    into the next bar goes with its beginning.
    """
    return replace(score, parts=tuple(_into_scale(part, every) for part in score.parts))


def _into_scale(part: Part, every: int) -> Part:
    places: dict[tuple[int, int, int], bool] = {}
    seen = 0
    for note in part.notes:
        if note.pitch is None or note.tie_from_previous or note.pitch.alter == _in_key(part, note):
            continue
        place = _place(note)
        if place not in places:
            places[place] = seen % every == 0
            seen += 1
    tied: dict[tuple[int, int], bool] = {}
    notes = []
    for note in part.notes:
        if note.pitch is None:
            notes.append(note)
            continue
        line = (note.staff, note.pitch.diatonic)
        is_struck = places.get(_place(note), False)
        is_struck = tied.get(line, is_struck) if note.tie_from_previous else is_struck
        tied[line] = is_struck
        if is_struck or (every == 1 and note.accidental and note.pitch.alter == _in_key(part, note)):
            pitch = replace(note.pitch, alter=Fraction(_in_key(part, note)))
            notes.append(replace(note, pitch=pitch, accidental="", is_courtesy=False))
        else:
            notes.append(note)
    return replace(part, notes=tuple(notes))


def _place(note: Note) -> tuple[int, int, int]:
    assert note.pitch is not None
    return (note.measure, note.staff, note.pitch.diatonic)


# Note values


def can_double(score: Score) -> bool:
    """Whether its meters stay usual when all values are doubled: lower numbers of 4 and more."""
    return all(unit >= 4 and unit % 2 == 0 for unit in _units(score))


def can_halve(score: Score) -> bool:
    """Whether its meters stay usual when all values are halved: lower numbers of 1, 2 and 4."""
    return all(unit <= 4 for unit in _units(score))


def _units(score: Score) -> set[int]:
    times = [measure.time for measure in score.measures]
    times += [change.time for part in score.parts for change in part.times]
    return {unit for time in times for _, unit in time.groups}


def in_other_values(score: Score, factor: Fraction) -> Score:
    """Every length written ``factor`` times as long, 2 or 1/2, under a tempo that takes the same time.

    4/4 becomes 4/2 or 4/8; the metronome marks count the longer or shorter note. Grace notes, which have no
    length, keep their value.
    """
    return replace(
        score,
        measures=tuple(
            replace(
                measure, start_quarters=measure.start_quarters * factor,
                length_quarters=measure.length_quarters * factor, time=_meter(measure.time, factor),
            )
            for measure in score.measures
        ),
        parts=tuple(_part_in(part, factor) for part in score.parts),
        tempos=tuple(_tempo_in(_at(mark, factor), factor) for mark in score.tempos),
    )  # fmt: skip


def _meter(time: TimeSignature, factor: Fraction) -> TimeSignature:
    groups = tuple((beats, int(unit / factor)) for beats, unit in time.groups)
    return TimeSignature(groups, time.symbol if time.symbol == "free" else "")


def _tempo_in(mark: TempoMark, factor: Fraction) -> TempoMark:
    return replace(
        mark,
        beat_unit_quarters=None if mark.beat_unit_quarters is None else mark.beat_unit_quarters * factor,
        equal_quarters=None if mark.equal_quarters is None else mark.equal_quarters * factor,
        quarter_bpm=None if mark.quarter_bpm is None else mark.quarter_bpm * float(factor),
    )


def _at(item: Placed, factor: Fraction) -> Placed:
    return replace(item, onset_quarters=item.onset_quarters * factor)


def _part_in(part: Part, factor: Fraction) -> Part:
    return replace(
        part,
        notes=tuple(_note_in(_at(note, factor), factor) for note in part.notes),
        clefs=tuple(_at(each, factor) for each in part.clefs),
        keys=tuple(_at(each, factor) for each in part.keys),
        dynamics=tuple(_at(each, factor) for each in part.dynamics),
        words=tuple(_at(each, factor) for each in part.words),
        hairpins=tuple(_hairpin_in(each, factor) for each in part.hairpins),
        octave_lines=tuple(_octave_line_in(each, factor) for each in part.octave_lines),
        times=tuple(TimeChange(t.measure, _meter(t.time, factor), t.is_printed) for t in part.times),
    )


def _hairpin_in(each: Hairpin, factor: Fraction) -> Hairpin:
    end = None if each.end_onset_quarters is None else each.end_onset_quarters * factor
    return replace(each, onset_quarters=each.onset_quarters * factor, end_onset_quarters=end)


def _octave_line_in(each: OctaveLine, factor: Fraction) -> OctaveLine:
    return replace(
        each, onset_quarters=each.onset_quarters * factor, end_onset_quarters=each.end_onset_quarters * factor
    )


def _note_in(note: Note, factor: Fraction) -> Note:
    if note.is_grace:
        return note
    return replace(
        note,
        duration_quarters=note.duration_quarters * factor,
        value=value_times(note.value, factor),
        beams=note.beams[1:] if factor == 2 else ((note.beams[0], *note.beams) if note.beams else ()),
    )


def value_times(value: str, factor: Fraction) -> str:
    """Name of a note value times 2, 4, 1/2 or 1/4.

    Example:
        >>> value_times("eighth", Fraction(2)), value_times("half", Fraction(1, 4))
        ('quarter', 'eighth')
    """
    if value not in VALUES:
        return value
    steps = {Fraction(4): 2, Fraction(2): 1, Fraction(1): 0, Fraction(1, 2): -1, Fraction(1, 4): -2}[factor]
    return VALUES[min(len(VALUES) - 1, max(0, VALUES.index(value) + steps))]


# Parts


def with_double(score: Score, part: int, octaves: int = 0) -> Score:
    """A copy of a part under another name added as the last part, at its pitch or in another octave."""
    double = by_octaves(score.parts[part], octaves)
    double = replace(double, id=f"{double.id}-again", name=f"{double.name} (doubled)")
    return replace(score, parts=(*score.parts, double))


def alone(score: Score, part: int) -> Score:
    """One part as a score of its own."""
    marks = tuple(replace(mark, part=-1) for mark in score.marks if mark.part in (-1, part))
    return replace(score, parts=(score.parts[part],), marks=marks)


def in_reverse_order(score: Score) -> Score:
    """The parts from the bottom of the page to the top."""
    last = len(score.parts) - 1
    marks = tuple(m if m.part < 0 else replace(m, part=last - m.part) for m in score.marks)
    return replace(score, parts=score.parts[::-1], marks=marks)


def without_beams(score: Score) -> Score:
    """Every note with a flag of its own."""
    return _each_note(score, lambda note: replace(note, beams=()))


def twice_in_a_row(score: Score) -> Score:
    """The whole written music again behind itself, without roadmap marks; the tempo of the first time."""
    count = len(score.measures)
    length = sum((measure.length_quarters for measure in score.measures), Fraction(0))
    again = [
        replace(m, index=m.index + count, start_quarters=m.start_quarters + length) for m in score.measures
    ]
    tempos = tuple(replace(mark, measure=mark.measure + count) for mark in score.tempos)
    parts = tuple(_twice(part, count) for part in score.parts)
    return replace(
        score, measures=(*score.measures, *again), parts=parts, marks=(), tempos=(*score.tempos, *tempos)
    )


def _twice(part: Part, count: int) -> Part:
    def later(items: tuple[Placed, ...]) -> tuple[Placed, ...]:
        return (*items, *(replace(each, measure=each.measure + count) for each in items))

    lines = [
        replace(o, measure=o.measure + count, end_measure=o.end_measure + count) for o in part.octave_lines
    ]
    hairpins = [
        replace(
            each, measure=each.measure + count,
            end_measure=None if each.end_measure is None else each.end_measure + count,
        )
        for each in part.hairpins
    ]  # fmt: skip
    shifts = [(at + count, shift) for at, shift in part.transpositions]
    return replace(
        part, notes=later(part.notes), clefs=later(part.clefs), keys=later(part.keys),
        words=later(part.words), dynamics=later(part.dynamics), hairpins=(*part.hairpins, *hairpins),
        octave_lines=(*part.octave_lines, *lines), transpositions=(*part.transpositions, *shifts),
        times=(*part.times, *(replace(each, measure=each.measure + count) for each in part.times)),
    )  # fmt: skip


def with_lyrics(score: Score) -> Score:
    """A syllable under every struck note that has none."""
    return _each_note(
        score, lambda note: replace(note, lyric="la") if note.is_struck and not note.lyric else note
    )


def renamed(score: Score) -> Score:
    """Every part with another chair in its name; instruments as they were."""
    parts = [
        replace(p, name=f"{p.name} (chair {at + 1})", abbreviation="") for at, p in enumerate(score.parts)
    ]
    return replace(score, parts=tuple(parts))


def with_silent_part(score: Score) -> Score:
    """A part more that has rests in every bar."""
    notes = [Note(m.index, Fraction(0), m.length_quarters, is_rest=True) for m in score.measures]
    clefs = (Clef(0, "G", 2),)
    silent = Part("silent", "Silent", clefs=clefs, keys=(KeySignature(0, 0),), notes=tuple(notes))
    return replace(score, parts=(*score.parts, silent))


def rests_in_halves(score: Score) -> Score:
    """Each rest written as two rests of half its length."""

    def halves(part: Part) -> Part:
        notes: list[Note] = []
        for note in part.notes:
            if note.is_rest and note.duration_quarters > 0 and not note.is_grace:
                half = note.duration_quarters / 2
                first = replace(note, duration_quarters=half, value=value_times(note.value, Fraction(1, 2)))
                notes += [first, replace(first, onset_quarters=note.onset_quarters + half)]
            else:
                notes.append(note)
        return replace(part, notes=_in_order(notes))

    return replace(score, parts=tuple(halves(part) for part in score.parts))


def _in_order(notes: Sequence[Note]) -> tuple[Note, ...]:
    """By measure, onset, staff and voice; a stable sort keeps grace notes before and chords behind."""
    return tuple(sorted(notes, key=lambda n: (n.measure, n.onset_quarters, n.staff, n.voice)))


def _each_note(score: Score, change: Callable[[Note], Note]) -> Score:
    parts = [replace(part, notes=tuple(change(note) for note in part.notes)) for part in score.parts]
    return replace(score, parts=tuple(parts))


# Single notes


def plain_notes(part: Part) -> list[int]:
    """Places of the notes that stand for themselves: pitched, in no chord, not tied, not cue or grace."""
    chords = {
        (n.measure, n.onset_quarters, n.staff, n.voice) for n in part.notes if n.in_chord and not n.is_grace
    }
    return [
        at
        for at, n in enumerate(part.notes)
        if n.is_struck and n.pitch is not None and not n.tie_to_next
        and (n.measure, n.onset_quarters, n.staff, n.voice) not in chords
    ]  # fmt: skip


def octave_up(part: Part, at: int) -> Part:
    """One note an octave higher."""
    pitch = part.notes[at].pitch
    assert pitch is not None
    return _put(part, at, [replace(part.notes[at], pitch=replace(pitch, octave=pitch.octave + 1))])


def accidental_put(part: Part, at: int) -> Part:
    """One note raised by a semitone with its sign, or lowered where the letter is raised already."""
    note = part.notes[at]
    assert note.pitch is not None
    alter = note.pitch.alter + (1 if note.pitch.alter <= 0 else -1)
    pitch = replace(note.pitch, alter=alter)
    return _put(part, at, [replace(note, pitch=pitch, accidental=ACCIDENTALS[alter], is_courtesy=False)])


def split_in(part: Part, at: int, count: int) -> Part:
    """One note struck 2 or 4 times in its own length, or 3 times as a triplet."""
    note = part.notes[at]
    length = note.duration_quarters / count
    value = value_times(note.value, Fraction(1, 4 if count == 4 else 2))
    tuplet = (3, 2) if count == 3 else note.tuplet
    first = replace(
        note, duration_quarters=length, value=value, tuplet=tuplet, beams=(), lyric=note.lyric,
        slurs_stopped=note.slurs_stopped, slurs_started=0,
    )  # fmt: skip
    later = replace(first, accidental="", lyric="", slurs_stopped=0)
    made = [
        first,
        *(replace(later, onset_quarters=note.onset_quarters + length * k) for k in range(1, count)),
    ]
    made[-1] = replace(made[-1], slurs_started=note.slurs_started)
    return _put(part, at, made)


def rest_put(part: Part, at: int) -> Part:
    """One note replaced by a rest of its length."""
    note = part.notes[at]
    rest = Note(
        note.measure, note.onset_quarters, note.duration_quarters, voice=note.voice, staff=note.staff,
        value=note.value, dots=note.dots, tuplet=note.tuplet, is_rest=True,
    )  # fmt: skip
    return _put(part, at, [rest])


def extreme_put(part: Part, at: int, *, high: bool) -> Part | None:
    """One note on the highest or lowest pitch of the instrument; None without an instrument that has one."""
    try:
        instrument = get_instrument(part.instrument)
    except KeyError:
        return None
    if instrument.full is None:
        return None
    note = part.notes[at]
    own = instrument.transposition.to_sounding(instrument.full.high if high else instrument.full.low)
    pitch = part.transposition_at(note.measure).to_written(own)
    if pitch.alter not in ACCIDENTALS:
        return None
    changed = replace(note, pitch=pitch)
    sign = "" if pitch.alter == _in_key(part, changed) else ACCIDENTALS[pitch.alter]
    return _put(part, at, [replace(changed, accidental=sign, is_courtesy=False)])


def _put(part: Part, at: int, notes: Sequence[Note]) -> Part:
    found = [*part.notes[:at], *notes, *part.notes[at + 1 :]]
    return replace(part, notes=_in_order(found) if len(notes) > 1 else tuple(found))


def with_part(score: Score, at: int, part: Part) -> Score:
    """A score with one part replaced."""
    return replace(score, parts=(*score.parts[:at], part, *score.parts[at + 1 :]))
