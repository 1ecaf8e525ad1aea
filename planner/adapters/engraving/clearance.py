"""Last strokes on a drawing: hairpins stop before words, and words keep within the page."""

from collections.abc import Iterator
from dataclasses import dataclass

from lxml import etree

from planner.adapters.engraving.smufl import sign_box, text_height, text_sides

_SVG = "{http://www.w3.org/2000/svg}"
_GAP = 60.0
"""Room between a hairpin and words, in the drawing's units: a third of a staff space. House choice."""
_SHORTEST = 180.0
"""A hairpin is not made shorter than a staff space. Source: house choice."""
_WORDS = ("dir", "dynam", "tempo", "reh")


@dataclass(frozen=True, slots=True)
class _Box:
    left: float
    top: float
    right: float
    low: float

    def meets(self, other: "_Box") -> bool:
        """Whether both cover a place."""
        beside = self.right <= other.left or other.right <= self.left
        return not beside and self.top < other.low and other.top < self.low


def cleared(svg: str) -> str:
    """The drawing with its hairpins clear of words, and its words and pedal signs within the page."""
    root = etree.fromstring(svg.encode("utf-8"))
    right = _right_edge(root)
    for group in _groups(root, _WORDS):
        _keep_within(group, right)
    for group in _groups(root, ("pedal",)):
        for use in group.iter(f"{_SVG}use"):
            _keep_sign_within(use, right)
    boxes = [box for group in _groups(root, _WORDS) for box in _boxes(group)]
    for group in _groups(root, ("hairpin",)):
        for line in group.iter(f"{_SVG}polyline"):
            _shorten(line, boxes)
    return str(etree.tostring(root, encoding="unicode"))


def _groups(root: etree._Element, names: tuple[str, ...]) -> Iterator[etree._Element]:
    for group in root.iter(f"{_SVG}g"):
        if (group.get("class") or "").split(" ")[0] in names:
            yield group


def _right_edge(root: etree._Element) -> float:
    """Where the page ends, counted as its music is: from the left margin."""
    inner = root.find(f"{_SVG}svg")
    page = root.find(f".//{_SVG}g[@class='page-margin']")
    if inner is None or page is None:
        return float("inf")
    width = float((inner.get("viewBox") or "0 0 0 0").split()[2])
    margin = float((page.get("transform") or "translate(0, 0)").partition("(")[2].partition(",")[0])
    return width - margin


def _keep_within(group: etree._Element, right: float) -> None:
    """Move words that would leave the page at the right; those longer than the page begin at its left."""
    texts = list(group.iter(f"{_SVG}text"))
    sides = [text_sides(text) for text in texts]
    over = max((side[1] for side in sides), default=0.0) - right
    if over <= 0:
        return
    shift = min(over, min(side[0] for side in sides))
    for text in texts:
        for element in text.iter():
            if element.get("x"):
                element.set("x", f"{float(element.get('x', '0')) - shift:g}")


def _keep_sign_within(use: etree._Element, right: float) -> None:
    """Move a sign that would leave the page at the right."""
    box = sign_box(use)
    if box is not None and box[2] > right:
        x = float((use.get("transform") or "").partition("(")[2].partition(",")[0])
        use.set(
            "transform", (use.get("transform") or "").replace(f"({x:g},", f"({x - box[2] + right:.0f},", 1)
        )


def _boxes(group: etree._Element) -> Iterator[_Box]:
    """What words and signs of a group cover; a frame around them counts with them."""
    for text in group.iter(f"{_SVG}text"):
        (left, right), (top, low) = text_sides(text), text_height(text)
        yield _Box(left - _GAP, top, right + _GAP, low)
    for use in group.iter(f"{_SVG}use"):
        found = sign_box(use)
        if found is not None:
            left, top, right, low = found
            yield _Box(left - _GAP, top, right + _GAP, low)


def _shorten(line: etree._Element, boxes: list[_Box]) -> None:
    """Let a hairpin begin or end where words that it runs into leave it room."""
    points = [tuple(map(float, point.split(","))) for point in (line.get("points") or "").split()]
    if len(points) < 3:
        return
    left, right = min(x for x, _ in points), max(x for x, _ in points)
    box = _Box(left, min(y for _, y in points), right, max(y for _, y in points))
    begin, end = left, right
    for other in boxes:
        if box.meets(other):
            if other.left + other.right < left + right:
                begin = max(begin, other.right)
            else:
                end = min(end, other.left)
    if (begin, end) == (left, right) or end - begin < _SHORTEST:
        return
    ratio = (end - begin) / (right - left)
    line.set("points", " ".join(f"{begin + (x - left) * ratio:.0f},{y:.0f}" for x, y in points))
