"""Writes the notes, rests and marks of one bar of one part."""

import xml.etree.ElementTree as ET
from fractions import Fraction

from .elements import DIVISIONS, direction, sub
from .engraving import beams, tuplets
from .lines import Bar, Event
from .setting import Direction, Setting

TYPES = {1: "whole", 2: "half", 4: "quarter", 8: "eighth", 16: "16th"}
DRUMS = {
    "s": ("I1", "Snare Drum", "drum.snare-drum", 39, "C5"),
    "b": ("I2", "Bass Drum", "drum.bass-drum", 37, "F4"),
    "c": ("I3", "Crash Cymbals", "metal.cymbal.crash", 50, "A5"),
}
"""Drums by code: identity, name, MusicXML sound, General MIDI key plus one, place on the staff."""


def _mark(measure: ET.Element, mark: Direction, offset: Fraction) -> None:
    element, kind = direction(measure, "above" if mark.kind == "words" else "below")
    if mark.kind == "words":
        sub(kind, "words", mark.value, font_style="italic")
    elif mark.kind == "dynamics":
        sub(sub(kind, "dynamics"), mark.value)
    else:
        sub(kind, "wedge", type=mark.value, number=1)
    if offset:
        sub(element, "offset", int(offset * DIVISIONS))


Placed = tuple[ET.Element | None, tuple[str, bool] | None, list[str]]
"""Pitch element of a note, its printed accidental and whether it is a courtesy one, its beams."""


def write_voice(measure: ET.Element, bar: Bar, marks: list[Direction], placed: list[Placed], ties: set[int],
           slurs: list[int], voice: int = 1, stem: str = "") -> None:  # fmt: skip
    """Write one voice of a bar with the marks printed along it."""
    waiting = sorted(marks, key=lambda d: (d.offset, d.kind != "wedge" or d.value != "stop"))
    onset = Fraction(0)
    brackets = tuplets(bar)
    for event, (pitch, sign, states), bracket in zip(bar, placed, brackets, strict=True):
        while waiting and waiting[0].offset < onset + event.length:
            mark = waiting.pop(0)
            _mark(measure, mark, mark.offset - onset)
        if event.words:
            _, kind = direction(measure, "above")
            sub(kind, "words", event.words, font_style="italic")
        note = sub(measure, "note")
        key = id(event) if event.tone is None else event.tone.midi
        stops = key in ties
        _note(note, event, pitch, sign, states, stops, bracket, slurs, voice, stem)
        ties.discard(key)
        if event.tie and not event.is_rest:
            ties.add(key)
        onset += event.length
    for mark in waiting:
        _mark(measure, mark, Fraction(0))


def _note(note: ET.Element, event: Event, pitch: ET.Element | None, sign: tuple[str, bool] | None,
          states: list[str], tied: bool, bracket: str, slurs: list[int], voice: int,
          stem: str) -> None:  # fmt: skip
    if pitch is None:
        sub(note, "rest", **({"measure": "yes"} if event.whole_bar else {}))
    else:
        note.append(pitch)
    sub(note, "duration", int(event.length * DIVISIONS))
    for on, kind in ((tied, "stop"), (event.tie, "start")):
        if on:
            sub(note, "tie", type=kind)
    if event.drum:
        sub(note, "instrument", id=f"P16-{DRUMS[event.drum][0]}")
    sub(note, "voice", voice)
    if not event.whole_bar:
        sub(note, "type", TYPES[event.value])
        for _ in range(event.dots):
            sub(note, "dot")
    if sign:
        courtesy = {"cautionary": "yes", "parentheses": "yes"} if sign[1] else {}
        sub(note, "accidental", sign[0], **courtesy)
    if event.is_triplet:
        ratio = sub(note, "time-modification")
        sub(ratio, "actual-notes", 3)
        sub(ratio, "normal-notes", 2)
    if stem and pitch is not None and event.value > 1:
        sub(note, "stem", stem)
    if event.drum == "c":
        sub(note, "notehead", "x")
    for level, state in enumerate(states):
        if state:
            sub(note, "beam", state, number=level + 1)
    _notations(note, event, tied, bracket, slurs)


def _notations(note: ET.Element, event: Event, tied: bool, bracket: str, slurs: list[int]) -> None:
    notations = ET.Element("notations")
    for on, kind in ((tied, "stop"), (event.tie, "start")):
        if on:
            sub(notations, "tied", type=kind)
    for _ in range(event.slur_stops):
        if not slurs:
            raise ValueError("a slur ends that never began")
        slurs.pop()
        sub(notations, "slur", type="stop", number=1)
    for _ in range(event.slur_starts):
        slurs.append(1)
        sub(notations, "slur", type="start", number=1)
    if bracket:
        sub(notations, "tuplet", type=bracket, number=1)
    if event.articulations:
        marks = sub(notations, "articulations")
        for name in event.articulations:
            sub(marks, name)
    if event.fermata:
        sub(notations, "fermata", type="upright")
    if len(notations):
        note.append(notations)


def write_drum_bar(measure: ET.Element, setting: Setting, at: int, upper: Bar,
                   marks: list[Direction]) -> None:  # fmt: skip
    """Write a bar of drums: snare and cymbals stems up, bass drum stems down."""
    lower = setting.bass_drum[at]
    one_voice = all(e.is_rest for e in lower)
    ignored: set[int] = set()
    for voice, bar in ((1, upper), (2, lower)):
        if voice == 2:
            if one_voice:
                return
            sub(sub(measure, "backup"), "duration", int(setting.lengths[at] * DIVISIONS))
        heads: list[Placed] = []
        for event, state in zip(bar, beams(bar, setting.meters[at], setting.lengths[at]), strict=True):
            head = None
            if event.drum:
                head = ET.Element("unpitched")
                place = DRUMS[event.drum][4]
                sub(head, "display-step", place[0])
                sub(head, "display-octave", place[1])
            heads.append((head, None, state))
        write_voice(
            measure,
            bar,
            marks if voice == 1 else [],
            heads,
            ignored,
            [],
            voice,
            "up" if voice == 1 else "down",
        )
