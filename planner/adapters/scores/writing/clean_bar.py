"""One measure of the clean file: only what can be printed, and numbers within what is printed anywhere.

Source of the names and of what may hold what: MusicXML 4.0 (W3C). The bounds are house
choices, a little wider than any score in print; the reader's own are taken where it has some.
"""

import re
from functools import lru_cache
from typing import Any, cast

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
_SOUNDS = frozenset({"pitch", "unpitched", "rest"})
"""Children of a note of which it needs one."""
_SHIFTS = ("8", "15", "22")
"""Sizes of an ottava: one, two or three octaves."""
_STRAY_TEXT = etree.XPath("descendant-or-self::*[*]/text()")
_LONG_TEXT = etree.XPath(f"descendant::text()[string-length() > {_LONGEST_TEXT}]")
_WITH_ATTRIBUTES = etree.XPath("descendant::*[@*][not(self::measure)]")
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


def bound(part: etree._Element) -> None:
    """Leave out of a part what holds an absurd number, an attribute or an element, and stray text.

    The elements to look at are chosen by the XML library, which is far quicker than a visit to each.
    """
    for text in _chosen(_STRAY_TEXT, part):
        owner = text.getparent()
        if text.is_tail:
            owner.tail = None
        elif not text.strip():
            owner.text = None
    for element in list(part.iter(*_NUMBERS)):
        text = element.text
        if text and not _is_number_within(text, str(element.tag)):
            parent = element.getparent()
            if parent is not None:
                parent.remove(element)
    for text in _chosen(_LONG_TEXT, part):
        text.getparent().text = text[:_LONGEST_TEXT]
    for element in _chosen(_WITH_ATTRIBUTES, part):
        for name, value in element.items():
            if not _is_kept(str(element.tag), str(name), str(value)):
                del element.attrib[name]


def _chosen(path: etree.XPath, part: etree._Element) -> list[Any]:
    """What an XPath chooses of a part: elements, or texts that know their owner."""
    return cast(list[Any], path(part))


def clean_measure(measure: etree._Element, staves: int) -> None:
    """Bring a measure of a part with so many staves, already ``bound``, to what can be printed."""
    for element in list(measure):
        if element.tag not in _CONTENT:
            measure.remove(element)
    has_note = hides_notes = False
    for element in list(measure):
        tag = element.tag
        if tag == "note":
            hides_notes = hides_notes or element.get("print-object") == "no"
            has_note = _clean_note(element, staves, follows=has_note) or has_note
        elif tag == "attributes":
            _clean_attributes(element, staves)
        elif tag in ("backup", "forward"):
            if element.find("duration") is None:
                measure.remove(element)
        elif tag == "barline":
            _clean_barline(element)
        elif tag == "direction":
            _clean_direction(element, staves)
        elif tag == "sound":
            _clean_sound(measure, element)
    if hides_notes:
        _hide_beamed_notes(measure)


@lru_cache(maxsize=4096)
def _is_number_within(text: str, tag: str) -> bool:
    """Whether an element may hold this number; an empty one holds none."""
    return not text.strip() or _is_within(text, _NUMBERS[tag])


@lru_cache(maxsize=4096)
def _is_kept(tag: str, name: str, value: str) -> bool:
    """Whether an element keeps an attribute: words of a usual length, or a number within its bounds."""
    if len(value) > _LONGEST_TEXT or (tag == "octave-shift" and name == "size" and value not in _SHIFTS):
        return False
    if tag in ("ending", "lyric") and name == "number":
        return True
    limits = _COUNTS.get(name)
    if limits is None and _PLACES.fullmatch(name):
        limits = (-_FARTHEST, _FARTHEST)
    return limits is None or _is_within(value, limits)


@lru_cache(maxsize=4096)
def _is_within(text: str | None, bounds: tuple[float, float]) -> bool:
    value = decimal(text)
    return value is not None and bounds[0] <= value <= bounds[1]


def _clean_note(note: etree._Element, staves: int, *, follows: bool) -> bool:
    """Tidy a note's children; False when it cannot be printed and was left out."""
    first: dict[str, etree._Element] = {}
    dots = 0
    for child in list(note):
        tag = str(child.tag)
        if tag == "dot":
            dots += 1
            if dots > _MOST_DOTS:
                note.remove(child)
        elif tag not in first:
            first[tag] = child
        elif tag in _SINGLE:
            note.remove(first[tag])
            first[tag] = child
    pitch = first.get("pitch")
    if pitch is not None and (pitch.find("step") is None or pitch.find("octave") is None):
        note.remove(first.pop("pitch"))
    if not first.keys() & _SOUNDS:
        drop(note)
        return False
    if "chord" in first and not follows:
        note.remove(first["chord"])
    ratio = first.get("time-modification")
    if ratio is not None and (ratio.find("actual-notes") is None or ratio.find("normal-notes") is None):
        note.remove(ratio)
        for tuplet in list(note.iter("tuplet")):
            drop(tuplet)
    if "staff" in first and not 1 <= (whole(first["staff"].text) or 0) <= staves:
        first["staff"].text = "1"
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
