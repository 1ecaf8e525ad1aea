"""A tint behind some bars of a drawing, so that the eye finds them; it survives a grey printer."""

import re

from lxml import etree

_SVG = "{http://www.w3.org/2000/svg}"
_TINT = "#e4dfd2"
_LINE = re.compile(r"^M([\d.-]+) ([\d.-]+) L([\d.-]+) ([\d.-]+)$")
_ROOM = 180.0
"""Above and below the staff, in the drawing's units: one staff space."""


def tint_measures(svg: str, measure: int, end_measure: int) -> str:
    """The drawing with measures ``measure`` to ``end_measure`` tinted; those not in it are passed over.

    The tint lies beneath all music, as words of a bar may reach over its neighbors. Empty
    bars in a row stand under the first of them: a rest is tinted as a whole where one of its bars is.
    """
    root = etree.fromstring(svg.encode("utf-8"))
    groups = [
        (int(group.get("id", "")[1:]), group)
        for group in root.iter(f"{_SVG}g")
        if group.get("class") == "measure" and group.get("id", "")[1:].isdigit()
    ]
    boxes: list[etree._Element] = []
    for (position, group), following in zip(groups, [*groups[1:], None], strict=True):
        is_rest = group.find(f".//{_SVG}g[@class='multiRest']") is not None
        last = following[0] - 1 if is_rest and following else position
        if position <= end_measure and measure <= last:
            boxes += _boxes(group, position)
    (page,) = root.iterfind(f".//{_SVG}g[@class='page-margin']")
    page[:0] = boxes
    return etree.tostring(root, encoding="unicode")


def _boxes(measure: etree._Element, position: int) -> list[etree._Element]:
    """One box from the top line of the top staff to the bottom line of the lowest; none without lines."""
    lines = [
        tuple(map(float, found.groups()))
        for path in measure.iterfind(f"{_SVG}g[@class='staff']/{_SVG}path")
        if (found := _LINE.match(path.get("d", "")))
    ]
    level = [line for line in lines if line[1] == line[3]]
    if not level:
        return []
    left, right = min(line[0] for line in level), max(line[2] for line in level)
    top, low = min(line[1] for line in level) - _ROOM, max(line[1] for line in level) + _ROOM
    box = {"x": left, "y": top, "width": right - left, "height": low - top}
    shape = {name: f"{value:g}" for name, value in box.items()}
    return [
        etree.Element(
            f"{_SVG}rect", shape | {"id": f"tint-{position}", "fill": _TINT, "style": "stroke:none"}
        )
    ]
