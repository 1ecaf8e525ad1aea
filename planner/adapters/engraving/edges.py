"""What goes over the edge of a passage, drawn as it is over the end of a line of music.

A passage with a tie, slur, hairpin or line over its edge gets a bar before it, or behind it, in which that
begins or ends. These bars stand on pages of their own and are never shown.
"""

from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, field

from lxml import etree

from planner.adapters.engraving.timeline import Event, attributes_of, events

BEFORE, AFTER = "before", "after"
"""Ids of the bars that are never shown."""
FAR = 16
"""Bars in which the other end of a sign is looked for: one that has none near is a slip of the file. Source:
house choice."""
_STARTS: Mapping[str, tuple[str, ...]] = {
    "slur": ("start",), "glissando": ("start",), "slide": ("start",), "wedge": ("crescendo", "diminuendo"),
    "dashes": ("start",), "octave-shift": ("up", "down"),
}  # fmt: skip
"""Signs with two ends, and what their beginning is called. Source: MusicXML 4.0."""
CURVES = ("slur", "glissando", "slide")
LINES = ("wedge", "dashes", "octave-shift")
FIRST_NUMBER = 20
"""Numbers of the signs over an edge, beyond those that a file may use (1 to 16)."""


@dataclass(frozen=True, slots=True)
class _Span:
    """A sign with two ends; ``begins`` and ``ends`` count bars."""

    start: etree._Element
    stop: etree._Element
    begins: int
    ends: int


@dataclass(slots=True)
class Beyond:
    """What a bar that is never shown holds: directions, and notes by staff and voice.

    ``tied`` are the notes of the passage that its notes are tied to.
    """

    directions: list[etree._Element] = field(default_factory=list)
    notes: dict[tuple[str, str], list[etree._Element]] = field(default_factory=dict)
    tied: list[etree._Element] = field(default_factory=list)

    def __bool__(self) -> bool:
        return bool(self.directions or self.notes)

    def bar(self, name: str, divisions: str) -> etree._Element:
        """As a measure with this id: a quarter in each voice."""
        measure = etree.Element("measure", {"number": "0", "id": name, "implicit": "yes"})
        measure.extend(self.directions)
        for at, notes in enumerate(self.notes.values()):
            if at:
                etree.SubElement(etree.SubElement(measure, "backup"), "duration").text = divisions
            for place, note in enumerate(notes):
                if place:
                    note.insert(0, etree.Element("chord"))
                for duration in note.iterfind("duration"):
                    duration.text = divisions
                measure.append(note)
        if not self.notes:
            unseen = etree.SubElement(measure, "note", {"print-object": "no"})
            etree.SubElement(unseen, "rest")
            etree.SubElement(unseen, "duration").text = divisions
            etree.SubElement(unseen, "type").text = "quarter"
        return measure

    def _hold(self, source: etree._Element) -> etree._Element:
        """A quarter at the pitch of a note, in its voice; what is returned takes notations."""
        note = etree.Element("note")
        for tag in ("pitch", "unpitched"):
            note.extend(deepcopy(each) for each in source.findall(tag))
        etree.SubElement(note, "duration")
        for tag in ("instrument", "voice"):
            note.extend(deepcopy(each) for each in source.findall(tag))
        etree.SubElement(note, "type").text = "quarter"
        for tag in ("stem", "staff"):
            note.extend(deepcopy(each) for each in source.findall(tag))
        key = source.findtext("staff") or "1", source.findtext("voice") or "1"
        self.notes.setdefault(key, []).append(note)
        return note

    def tie(self, source: etree._Element, kind: str) -> None:
        """A note at the other end of a tie."""
        self.tied.append(source)
        note = self._hold(source)
        place = 1 + [each.tag for each in note].index("duration")
        note.insert(place, etree.Element("tie", {"type": kind}))
        etree.SubElement(etree.SubElement(note, "notations"), "tied", {"type": kind})

    def end(self, span: etree._Element, number: str) -> None:
        """One end of a sign, with the note or the direction that it stands at, under another number."""
        holder, bare = _holder(span), _bare(span, number)
        if span.tag in CURVES:
            etree.SubElement(self._hold(holder), "notations").append(bare)
            return
        direction = etree.Element("direction")
        if holder.get("placement"):
            direction.set("placement", holder.get("placement", ""))
        if span.tag == "dashes" and span.get("type") == "start":
            direction.extend(deepcopy(kind) for kind in holder.findall("direction-type") if _has_words(kind))
        etree.SubElement(direction, "direction-type").append(bare)
        direction.extend(deepcopy(each) for each in holder.findall("staff"))
        self.directions.append(direction)


def beyond_edges(
    before: Sequence[etree._Element], passage: Sequence[etree._Element], after: Sequence[etree._Element]
) -> tuple[Beyond, Beyond]:
    """What begins before a passage and what ends behind it; its own ends get numbers of their own.

    Args:
        before: Some bars before it, only looked at.
        passage: Its bars, a copy.
        after: Some bars behind it, only looked at.
    """
    begun, ended = Beyond(), Beyond()
    first, last = len(before), len(before) + len(passage) - 1
    shown = (
        span for span in _spans([*before, *passage, *after]) if span.begins <= last and span.ends >= first
    )
    for number, span in enumerate(shown, start=FIRST_NUMBER):
        if span.begins < first:
            begun.end(span.start, str(number))
        else:
            span.start.set("number", str(number))
        if span.ends > last:
            ended.end(span.stop, str(number))
        else:
            span.stop.set("number", str(number))
    if before:
        for note in _first_notes(passage[0]):
            if _is_tied(note, "stop"):
                begun.tie(note, "start")
    if after:
        for note in _last_notes(passage[-1]):
            if _is_tied(note, "start"):
                ended.tie(note, "stop")
    return begun, ended


def _spans(measures: Sequence[etree._Element]) -> list[_Span]:
    """Signs that have both ends in some bars.

    Curves are numbered voice by voice, as the file is written; lines as they sound. An octave line that began
    before a passage is opened anew in it; see ``excerpt``.
    """
    written = list(events(measures))
    sounding = sorted(written, key=lambda event: event.place)
    return [*_paired(written, CURVES), *_paired(sounding, LINES)]


def _paired(order: Sequence[Event], tags: Sequence[str]) -> list[_Span]:
    """Signs by their two ends; of several open ones the one most like its end, the last one first."""
    found: list[_Span] = []
    waiting: dict[str, list[tuple[etree._Element, int]]] = {}
    for event in order:
        for element in _ends_at(event.element, tags):
            tag = str(element.tag)
            opened = waiting.setdefault(tag, [])
            if element.get("type") in _STARTS[tag]:
                opened.append((element, event.bar))
            elif element.get("type") == "stop" and (at := _partner(element, opened)) is not None:
                start, begins = opened.pop(at)
                found.append(_Span(start, element, begins, event.bar))
    return found


def _ends_at(element: etree._Element, tags: Sequence[str]) -> list[etree._Element]:
    """Ends of signs at a note or direction; in a direction what ends comes before what begins."""
    ends = list(element.iter(*tags))
    return ends if element.tag == "note" else sorted(ends, key=lambda end: end.get("type") != "stop")


def _partner(stop: etree._Element, opened: Sequence[tuple[etree._Element, int]]) -> int | None:
    """Which of the open signs an end belongs to: of curves by number, of lines by place, then number."""

    def likeness(at: int) -> tuple[bool, bool, int]:
        start = opened[at][0]
        same_number = start.get("number", "1") == stop.get("number", "1")
        same_place = start.tag in LINES and _place(start) == _place(stop)
        return (same_place or same_number), same_place and same_number, at

    at = max(range(len(opened)), key=likeness, default=None)
    return at if at is not None and likeness(at)[0] else None


def _place(line: etree._Element) -> tuple[str, str]:
    """Staff and side of a line."""
    holder = _holder(line)
    return holder.findtext("staff") or "1", holder.get("placement") or "below"


_SHARPS = "FCGDAEB"
_SIGNS = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}
_BEFORE_ACCIDENTAL = ("type", "dot", "duration", "tie", "instrument", "voice")


def remind_of_accidental(note: etree._Element, attributes: etree._Element) -> None:
    """Print in brackets the sign of a note tied from before a passage that its signature does not have.

    Source: common practice over the end of a line of music.
    """
    pitch, fifths = note.find("pitch"), attributes.findtext("key/fifths")
    if pitch is None or fifths is None or note.find("accidental") is not None:
        return
    step, count = pitch.findtext("step") or "C", int(float(fifths))
    signed = _SHARPS[:count] if count >= 0 else _SHARPS[count:]
    usual = (1 if count > 0 else -1) if step in signed else 0
    alter = int(float(pitch.findtext("alter") or 0))
    if alter == usual or alter not in _SIGNS:
        return
    place = 1 + max(at for at, child in enumerate(note) if child.tag in _BEFORE_ACCIDENTAL)
    sign = etree.Element("accidental", {"editorial": "yes"})
    sign.text = _SIGNS[alter]
    note.insert(place, sign)


def close_strays(measures: Sequence[etree._Element], after: Sequence[etree._Element]) -> None:
    """Hairpins of a passage that nothing ends, in it or soon after, end with their bar."""
    ended = {span.start for span in _spans([*measures, *after])}
    for measure in measures:
        for wedge in list(measure.iter("wedge")):
            if wedge.get("type") in _STARTS["wedge"] and wedge not in ended:
                stop = Beyond()
                stop.end(etree.SubElement(_twin(wedge), "wedge", {"type": "stop"}), wedge.get("number", "1"))
                measure.extend(stop.directions)


def _twin(span: etree._Element) -> etree._Element:
    """The content of a direction of its own, at the staff of a sign."""
    holder = _holder(span)
    direction = etree.Element("direction", attributes_of(holder))
    kind = etree.SubElement(direction, "direction-type")
    direction.extend(deepcopy(each) for each in holder.findall("staff"))
    return kind


def _holder(span: etree._Element) -> etree._Element:
    """The note or the direction that a sign belongs to."""
    return next(span.iterancestors("note", "direction"))


def _bare(span: etree._Element, number: str) -> etree._Element:
    """A sign without the place where the file has it on its page."""
    kept = {name: value for name, value in attributes_of(span).items() if not name.endswith(("-x", "-y"))}
    bare = etree.Element(span.tag, kept | {"number": number})
    bare.text = span.text
    return bare


def _has_words(kind: etree._Element) -> bool:
    return kind.find("words") is not None


def _is_tied(note: etree._Element, kind: str) -> bool:
    return any(tie.get("type") == kind for tie in (*note.iterfind("tie"), *note.iterfind("notations/tied")))


def _first_notes(measure: etree._Element) -> Iterator[etree._Element]:
    """The notes with which a bar begins."""
    return (event.element for event in events([measure]) if _sounds(event) and event.at == 0)


def _last_notes(measure: etree._Element) -> Iterator[etree._Element]:
    """The notes that last until the end of a bar."""
    found = list(events([measure]))
    end = max((event.at + event.length for event in found), default=0)
    return (event.element for event in found if _sounds(event) and event.at + event.length == end)


def _sounds(event: Event) -> bool:
    return event.element.tag == "note" and event.length > 0 and event.element.find("rest") is None
