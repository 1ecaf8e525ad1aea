"""What a cut leaves behind in a passage: lines without their end, rests that no longer add up."""

from lxml import etree

_SPAN_TAGS = {"wedge": ("crescendo", "diminuendo"), "octave-shift": ("up", "down")}


def mend_spans(part: etree._Element) -> None:
    """Drop ends whose beginning was cut off, and close at the last measure what would stay open."""
    for tag, starts in _SPAN_TAGS.items():
        open_spans: dict[str, etree._Element] = {}
        for span in list(part.iter(tag)):
            number = span.get("number", "1")
            if span.get("type") in starts:
                open_spans[number] = span
            elif span.get("type") == "stop" and open_spans.pop(number, None) is None:
                _drop_direction(span)
        for number, span in open_spans.items():
            part[-1].append(_stop_of(tag, number, span))
    _drop_lone_notations(part)


def _stop_of(tag: str, number: str, span: etree._Element) -> etree._Element:
    holder = etree.Element("direction")
    stop = etree.SubElement(
        etree.SubElement(holder, "direction-type"), tag, {"type": "stop", "number": number}
    )
    if tag == "octave-shift":
        stop.set("size", span.get("size", "8"))
    home = span.getparent()
    source = home.getparent() if home is not None else None
    staff = source.findtext("staff") if source is not None else None
    if staff:
        etree.SubElement(holder, "staff").text = staff
    return holder


def _drop_direction(span: etree._Element) -> None:
    kind = span.getparent()
    if kind is None:
        return
    kind.remove(span)
    direction = kind.getparent()
    if direction is not None and len(kind) == 0:
        direction.remove(kind)
        home = direction.getparent()
        if home is not None and direction.find("direction-type") is None:
            home.remove(direction)


def _drop_lone_notations(part: etree._Element) -> None:
    """Slurs and glides that lost one of their ends."""
    for tag in ("slur", "glissando", "slide"):
        waiting: dict[str, list[etree._Element]] = {}
        lone: list[etree._Element] = []
        for element in part.iter(tag):
            opened = waiting.setdefault(element.get("number", "1"), [])
            if element.get("type") == "start":
                opened.append(element)
            elif element.get("type") == "stop":
                if opened:
                    opened.pop()
                else:
                    lone.append(element)
        for element in [*lone, *(e for opened in waiting.values() for e in opened)]:
            home = element.getparent()
            if home is not None:
                home.remove(element)


def drop_multirests(part: etree._Element) -> None:
    """Take off the printed multiple rests: their counts may reach beyond the passage."""
    for style in list(part.iter("measure-style")):
        home = style.getparent()
        if home is not None and style.find("multiple-rest") is not None:
            home.remove(style)
            if len(home) == 0 and (measure := home.getparent()) is not None:
                measure.remove(home)


def hide_beamed_notes(part: etree._Element) -> None:
    """Put a gap in place of each hidden note under a beam, which would be drawn, and mend the beam."""
    for measure in part:
        for note in measure.findall("note"):
            hidden = note.get("print-object") == "no" and note.find("rest") is None
            if not hidden or note.find("beam") is None or note.find("duration") is None:
                continue
            if note.find("chord") is not None or _leads_chord(note):
                continue
            voice = [other for other in measure.iterfind("note") if _voice(other) == _voice(note)]
            at = voice.index(note)
            for beam in note.findall("beam"):
                _close_beam(beam, voice[:at][::-1], voice[at + 1 :])
            gap = etree.Element("forward")
            etree.SubElement(gap, "duration").text = note.findtext("duration")
            measure.replace(note, gap)


def _leads_chord(note: etree._Element) -> bool:
    following = note.getnext()
    return following is not None and following.find("chord") is not None


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
