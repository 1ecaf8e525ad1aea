"""What a cut leaves behind in a passage: signs without their beginning or end."""

from lxml import etree

from planner.adapters.engraving.edges import CURVES, FIRST_NUMBER, LINES
from planner.adapters.engraving.timeline import attributes_of


def mend_spans(part: etree._Element) -> None:
    """Drop ends whose beginning is not there, and close lines at the last measure that would stay open.

    Signs whose two ends were found bear numbers of their own; see ``edges``. One whose other end is nowhere
    in the file goes, but for an octave line: its notes are written for it.
    """
    ends: dict[tuple[str, str], list[etree._Element]] = {}
    for element in part.iter(*LINES, *CURVES):
        ends.setdefault((str(element.tag), element.get("number", "1")), []).append(element)
    for (tag, number), elements in ends.items():
        is_known = number.isdecimal() and int(number) >= FIRST_NUMBER
        if is_known and len(elements) == 2:
            continue
        for element in elements:
            if tag in CURVES:
                _drop_notation(element)
            elif element.get("type") in ("stop", "continue"):
                _drop_direction(element)
            elif is_known or tag == "octave-shift":
                part[-1].append(_stop_of(tag, number, element))
            else:
                _drop_direction(element)


def _stop_of(tag: str, number: str, span: etree._Element) -> etree._Element:
    source = next(span.iterancestors("direction"), None)
    holder = etree.Element("direction", attributes_of(source) if source is not None else {})
    stop = etree.SubElement(
        etree.SubElement(holder, "direction-type"), tag, {"type": "stop", "number": number}
    )
    if tag == "octave-shift":
        stop.set("size", span.get("size", "8"))
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


def _drop_notation(span: etree._Element) -> None:
    parent = span.getparent()
    if parent is not None:
        parent.remove(span)
