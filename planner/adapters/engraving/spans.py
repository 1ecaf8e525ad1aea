"""What a cut leaves behind in a passage: lines without their beginning or end."""

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
    parent = span.getparent()
    source = parent.getparent() if parent is not None else None
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
        parent = direction.getparent()
        if parent is not None and direction.find("direction-type") is None:
            parent.remove(direction)


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
            parent = element.getparent()
            if parent is not None:
                parent.remove(element)
