"""One measure of the clean file: only what can be printed, and numbers within what is printed anywhere.

Source of the names and of what may hold what: MusicXML 4.0 (W3C). The bounds are house
choices, a little wider than any score in print; the reader's own are taken where it has some.
"""

import re
from functools import lru_cache

from lxml import etree

from planner.adapters.scores.reading.attributes import MAX_BEATS
from planner.adapters.scores.reading.draft import decimal, fold, whole
from planner.adapters.scores.reading.marks import MAX_TIMES, passes_in

_CONTENT = frozenset(
    {"note", "backup", "forward", "attributes", "direction", "harmony", "figured-bass", "barline", "sound"}
)
"""What of a measure is printed or read; ``print``, ``listening`` and unknown elements are not."""

_NUMBERS: dict[str, tuple[float, float]] = {
    "octave": (-1, 10), "display-octave": (-1, 10), "alter": (-4, 4), "fifths": (-11, 11),
    "cancel": (-11, 11), "key-alter": (-4, 4), "key-octave": (-1, 10), "line": (1, 12),
    "clef-octave-change": (-3, 3), "staff-lines": (0, 10), "staff-size": (10, 400),
    "actual-notes": (1, 1000), "normal-notes": (1, 1000), "normal-dot": (0, 4), "tremolo": (0, 8),
    "beat-type": (1, 256), "divisions": (1, 10**7), "duration": (0, 10**9), "offset": (-(10**9), 10**9),
    "diatonic": (-60, 60), "chromatic": (-60, 60), "octave-change": (-5, 5), "staff": (1, 20),
    "instruments": (1, 100), "root-alter": (-4, 4), "bass-alter": (-4, 4), "degree-value": (0, 30),
    "degree-alter": (-4, 4), "fret": (0, 40), "string": (1, 20), "frame-strings": (1, 20),
    "frame-frets": (1, 20), "first-fret": (1, 40), "bend-alter": (-12, 12),
    "tuning-octave": (-1, 10), "tuning-alter": (-4, 4), "capo": (0, 24), "measure-repeat": (1, 4),
}  # fmt: skip
"""Elements that hold a number, with the least and the largest; another content leaves them out."""

_COUNTS: dict[str, tuple[float, float]] = {
    "number": (1, 16), "times": (2, MAX_TIMES), "tempo": (1, 1000), "font-size": (1, 100),
}  # fmt: skip
"""Attributes that hold a number, with the least and the largest; another content leaves them out."""

_PLACES = re.compile(
    r"(default|relative|bezier)-[xy]\d?|bezier-offset2?|(end|start)-(dynamics|note)|.*-length"
)
_FARTHEST = 10_000
"""Tenths of a staff space beyond which a place is absurd."""
_MOST_DOTS = 4
_LONGEST_TEXT = 500
_SINGLE = frozenset({"pitch", "unpitched", "rest", "duration", "voice", "type", "stem", "notehead", "staff"})
"""Children of a note that it has at most once; of several the last speaks, as for the reader."""
_OF_STAFF = frozenset({"clef", "key", "time", "staff-details", "transpose", "for-part", "measure-style"})
_OF_SOUND = frozenset(
    {"tempo", "dacapo", "dalsegno", "tocoda", "fine", "segno", "coda", "forward-repeat", "time-only"}
)
"""What of a ``sound`` element is read."""


def drop(element: etree._Element) -> None:
    """Take an element out; of a note its time stays, as a gap, and a chord keeps its place."""
    parent = element.getparent()
    if parent is None:
        return
    if element.tag == "note":
        following = element.getnext()
        leads = element.find("chord") is None
        if leads and following is not None and following.tag == "note":
            mark = following.find("chord")
            if mark is not None:
                following.remove(mark)
                parent.remove(element)
                return
        length = element.findtext("duration")
        if leads and length is not None and element.find("grace") is None:
            gap = etree.Element("forward")
            etree.SubElement(gap, "duration").text = length
            parent.replace(element, gap)
            return
    parent.remove(element)


def clean_measure(measure: etree._Element, staves: int) -> None:
    """Bring a measure of a part with so many staves to what can be printed."""
    for element in list(measure):
        if element.tag not in _CONTENT:
            measure.remove(element)
    for element in list(measure.iter()):
        if element is not measure:
            element.tail = None
            _bound(element)
    has_note = False
    for element in list(measure):
        if element.tag == "note":
            has_note = _clean_note(element, staves, follows=has_note) or has_note
        elif element.tag == "attributes":
            _clean_attributes(element, staves)
        elif element.tag in ("backup", "forward"):
            if element.find("duration") is None:
                measure.remove(element)
        elif element.tag == "barline":
            _clean_barline(element)
        elif element.tag == "direction":
            _clean_direction(element, staves)
        elif element.tag == "sound":
            _clean_sound(measure, element)
    _hide_beamed_notes(measure)


def _bound(element: etree._Element) -> None:
    """Leave out what holds an absurd number: an attribute, or the element itself."""
    bounds = _NUMBERS.get(str(element.tag))
    if bounds is not None and (element.text or "").strip() and not _is_within(element.text, bounds):
        parent = element.getparent()
        if parent is not None:
            parent.remove(element)
        return
    if len(element) and not (element.text or "").strip():
        element.text = None
    elif element.text and len(element.text) > _LONGEST_TEXT:
        element.text = element.text[:_LONGEST_TEXT]
    if element.tag == "octave-shift" and element.get("size", "8") not in ("8", "15", "22"):
        del element.attrib["size"]
    for name, value in element.items():
        limits = _COUNTS.get(str(name))
        if limits is None and _PLACES.fullmatch(str(name)):
            limits = (-_FARTHEST, _FARTHEST)
        keeps_words = element.tag in ("ending", "lyric") and name == "number"
        is_wild = limits is not None and not keeps_words and not _is_within(str(value), limits)
        if is_wild or len(value) > _LONGEST_TEXT:
            del element.attrib[name]


@lru_cache(maxsize=4096)
def _is_within(text: str | None, bounds: tuple[float, float]) -> bool:
    value = decimal(text)
    return value is not None and bounds[0] <= value <= bounds[1]


def _clean_note(note: etree._Element, staves: int, *, follows: bool) -> bool:
    """Tidy a note's children; False when it cannot be printed and was left out."""
    seen: dict[str, etree._Element] = {}
    for child in list(note):
        if child.tag in _SINGLE:
            if child.tag in seen:
                note.remove(seen[child.tag])
            seen[child.tag] = child
    for pitch in note.findall("pitch"):
        if pitch.find("step") is None or pitch.find("octave") is None:
            note.remove(pitch)
    if note.find("pitch") is None and note.find("unpitched") is None and note.find("rest") is None:
        drop(note)
        return False
    dots = note.findall("dot")
    for dot in dots[_MOST_DOTS:]:
        note.remove(dot)
    chord = note.find("chord")
    if chord is not None and not follows:
        note.remove(chord)
    ratio = note.find("time-modification")
    if ratio is not None and (ratio.find("actual-notes") is None or ratio.find("normal-notes") is None):
        note.remove(ratio)
        for tuplet in list(note.iter("tuplet")):
            drop(tuplet)
    _clean_staff(note, staves)
    return True


def _clean_staff(element: etree._Element, staves: int) -> None:
    for staff in element.findall("staff"):
        if not 1 <= (whole(staff.text) or 0) <= staves:
            staff.text = "1"


def _clean_attributes(attributes: etree._Element, staves: int) -> None:
    for child in list(attributes):
        if child.tag == "time":
            _clean_time(child)
        elif child.tag == "measure-style":
            # Printed multiple rests count bars that a passage may not hold; a player's page gathers its own.
            for rest in child.findall("multiple-rest"):
                child.remove(rest)
        if child.tag == "staves" or _is_of_no_staff(child, staves) or _is_void(child):
            attributes.remove(child)


def _is_of_no_staff(child: etree._Element, staves: int) -> bool:
    number = child.get("number")
    return child.tag in _OF_STAFF and number is not None and not 1 <= (whole(number) or 0) <= staves


def _is_void(child: etree._Element) -> bool:
    """Whether a sign says nothing: a clef without a sign, a key or a time without numbers, an empty style."""
    if child.tag == "clef":
        return not fold(child.findtext("sign"))
    if child.tag == "key":
        return child.find("fifths") is None and child.find("key-step") is None
    if child.tag == "time":
        return child.find("beat-type") is None and child.find("senza-misura") is None
    return child.tag == "measure-style" and len(child) == 0


def _clean_time(time: etree._Element) -> None:
    """Leave out each ``beats`` and ``beat-type`` that has no usable other one beside it."""
    beats = None
    for child in time.findall("*"):
        if child.tag not in ("beats", "beat-type"):
            continue
        if child.tag == "beat-type" and beats is not None and _is_count(beats.text):
            beats = None
            continue
        if beats is not None:
            time.remove(beats)
        beats = child if child.tag == "beats" else None
        if beats is None:
            time.remove(child)
    if beats is not None:
        time.remove(beats)


def _is_count(text: str | None) -> bool:
    counts = [whole(part) or 0 for part in (text or "").split("+")]
    return all(0 < count <= MAX_BEATS for count in counts)


def _clean_barline(barline: etree._Element) -> None:
    for ending in barline.findall("ending"):
        passes = passes_in(ending.get("number"))
        if passes:
            ending.set("number", ", ".join(map(str, passes)))
        elif "number" in ending.attrib:
            ending.set("number", "1")
    for repeat in barline.findall("repeat"):
        if repeat.get("direction") not in ("forward", "backward"):
            barline.remove(repeat)


def _clean_direction(direction: etree._Element, staves: int) -> None:
    _clean_staff(direction, staves)
    for sound in direction.findall("sound"):
        _clean_sound(direction, sound)
    for kind in direction.findall("direction-type"):
        if len(kind) == 0:
            direction.remove(kind)
    parent = direction.getparent()
    if direction.find("direction-type") is None and parent is not None:
        parent.remove(direction)


def _clean_sound(parent: etree._Element, sound: etree._Element) -> None:
    for name in list(sound.attrib):
        if name not in _OF_SOUND:
            del sound.attrib[name]
    sound[:] = []
    if not sound.attrib:
        parent.remove(sound)


def _hide_beamed_notes(measure: etree._Element) -> None:
    """Put a gap in place of each hidden note under a beam, which would be drawn, and mend the beam."""
    for note in measure.findall("note"):
        hidden = note.get("print-object") == "no" and note.find("rest") is None
        if not hidden or note.find("beam") is None or note.find("duration") is None:
            continue
        following = note.getnext()
        leads_chord = following is not None and following.find("chord") is not None
        if note.find("chord") is not None or leads_chord:
            continue
        voice = [other for other in measure.iterfind("note") if _voice(other) == _voice(note)]
        at = voice.index(note)
        for beam in note.findall("beam"):
            _close_beam(beam, voice[:at][::-1], voice[at + 1 :])
        drop(note)


def _voice(note: etree._Element) -> tuple[str, str]:
    return note.findtext("voice", "1"), note.findtext("staff", "1")


def _close_beam(beam: etree._Element, before: list[etree._Element], after: list[etree._Element]) -> None:
    """Let the nearest neighbour under the same beam begin or end it in this note's stead."""
    state, number = beam.text, beam.get("number", "1")
    for neighbours, mine, lonely in ((before, "end", "begin"), (after, "begin", "end")):
        if state != mine:
            continue
        for other in neighbours:
            found = next((b for b in other.findall("beam") if b.get("number", "1") == number), None)
            if found is not None:
                if found.text == lonely:
                    other.remove(found)
                else:
                    found.text = mine
                break
