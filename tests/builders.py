"""Tiny scores from text, so that a test reads like the music it is about."""

from fractions import Fraction

from planner.core.pitch import CONCERT, Pitch, Transposition
from planner.core.score import Clef, KeySignature, Measure, Note, Part, RoadmapMark, Score, TimeSignature


def time_signature(text: str) -> TimeSignature:
    """``"7/8"`` or ``"2+2+3/8"``."""
    beats, unit = text.split("/")
    return TimeSignature(((tuple(int(b) for b in beats.split("+")), int(unit)),))


def make_part(
    music: str,
    *,
    name: str = "Flute",
    instrument: str = "flute",
    fifths: int = 0,
    transposition: Transposition = CONCERT,
    clef: tuple[str, int] = ("G", 2),
) -> Part:
    """A part from bars parted by ``|`` and tokens ``C#4*1/2``.

    A token is a written pitch or ``r`` for a rest, ``*`` and its length in quarters
    (1 unless given), and ``~`` when tied to the next. ``C4+E4`` is a chord.
    """
    notes: list[Note] = []
    tied: set[Pitch] = set()
    for measure, bar in enumerate(music.split("|")):
        onset = Fraction(0)
        for token in bar.split():
            tie = token.endswith("~")
            head, _, length = token.removesuffix("~").partition("*")
            duration = Fraction(length or 1)
            if head == "r":
                notes.append(Note(measure, onset, duration, is_rest=True))
                tied = set()
            else:
                pitches = [Pitch.parse(p) for p in head.split("+")]
                for at, pitch in enumerate(pitches):
                    notes.append(
                        Note(
                            measure,
                            onset,
                            duration,
                            pitch,
                            tie_from_previous=pitch in tied,
                            tie_to_next=tie,
                            in_chord=at > 0,
                        )
                    )
                tied = set(pitches) if tie else set()
            onset += duration
    return Part(
        id=name,
        name=name,
        instrument=instrument,
        transpositions=((0, transposition),) if transposition != CONCERT else (),
        clefs=(Clef(0, *clef),),
        keys=(KeySignature(0, fifths),),
        notes=tuple(notes),
    )


def make_score(
    *parts: Part, time: str = "4/4", title: str = "Test", marks: tuple[RoadmapMark, ...] = ()
) -> Score:
    """A score whose bars have the lengths of the first part's bars, all under one signature."""
    signature = time_signature(time)
    count = 1 + max((note.measure for part in parts for note in part.notes), default=-1)
    measures, start = [], Fraction(0)
    for index in range(count):
        ends = [n.onset_quarters + n.duration_quarters for n in parts[0].notes if n.measure == index]
        length = max(ends, default=signature.length_quarters)
        measures.append(Measure(index, str(index + 1), start, length, signature, time_changes=index == 0))
        start += length
    return Score(title, tuple(measures), tuple(parts), marks=marks)
