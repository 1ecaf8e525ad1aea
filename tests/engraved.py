"""What a drawing of music shows, as boxes read from its SVG with another library, and its faults."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import count

from fontTools.misc.transform import Identity, Transform
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.transformPen import TransformPen
from fontTools.svgLib.path import parse_path
from lxml import etree

from planner.adapters.exports.lettering.fonts import MUSIC_TEXT, font_name, register_fonts
from planner.adapters.exports.lettering.lines import text_width

SVG = "{http://www.w3.org/2000/svg}"
LEAST_STAFF_MM = 6.0
"""Height of a staff on a player's sheet; demanded."""
STAFF_SPACE = 180.0
"""In the drawing's units."""
TOUCH = 10.0
"""Boxes that share less, a sixteenth of a staff space, only touch. House choice."""
WORDS = ("dir", "tempo", "reh", "mNum", "harm", "fing", "dynam", "repeatMark")
NOTES = ("notehead", "accid", "flag", "rest", "mRest", "multiRest", "clef", "keySig", "meterSig")
_BOLD, _ITALIC = {"ending", "fing", "reh", "tempo"}, {"dir", "dynam", "mNum"}
_STEP = re.compile(r"(translate|scale)\(([^)]*)\)")

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Ink:
    """A shape, sign or line of text: the classes of the groups around it, its box, what it reads."""

    classes: tuple[str, ...]
    ids: tuple[str, ...]
    box: Box
    text: str = ""
    shape: str = ""

    def within(self, *names: str) -> bool:
        """Whether a group of one of these classes is around it."""
        return any(name in self.classes for name in names)


class Drawing:
    """All ink of a drawing."""

    def __init__(self, svg: str) -> None:
        root = etree.fromstring(svg.encode())
        inner = root.find(f"{SVG}svg")
        self._signs = {sign.get("id", ""): sign for sign in root.iterfind(f"{SVG}defs/{SVG}g")}
        body = inner if inner is not None else root
        _, _, self.width, self.height = map(float, (body.get("viewBox") or "0 0 1 1").split())
        self._unnamed = count()
        self.ink: list[Ink] = []
        self.tints: list[tuple[int, Box]] = []
        """Each tint with how much ink is drawn before it."""
        for ink in self._walk(body, Identity, (), (), _Look()):
            if ink.shape == "tint":
                self.tints.append((len(self.ink), ink.box))
            else:
                self.ink.append(ink)

    @cached_property
    def measures(self) -> list[int]:
        """Positions of the measures, in order."""
        ids = dict.fromkeys(each for ink in self.ink for each in ink.ids if re.fullmatch(r"m\d+", each))
        return [int(each[1:]) for each in ids]

    def groups(self, *names: str) -> list[Ink]:
        """Each group of one of these classes as one box."""
        found: dict[tuple[str, ...], list[Ink]] = {}
        for ink in self.ink:
            at = next((at for at, name in enumerate(ink.classes) if name in names), None)
            if at is not None:
                found.setdefault((ink.classes[at], *ink.ids[: at + 1]), []).append(ink)
        return [
            Ink((key[0],), key[1:], around([ink.box for ink in inks]), "".join(ink.text for ink in inks))
            for key, inks in found.items()
        ]

    def staff_mm(self, width_mm: float) -> float | None:
        """Height of the first staff of five lines on a drawing of this width; None without one."""
        staves: dict[str, list[float]] = {}
        for ink in self.ink:
            wide, high = ink.box[2] - ink.box[0], ink.box[3] - ink.box[1]
            if ink.classes and ink.classes[-1] == "staff" and wide > STAFF_SPACE > 4 * high:
                staves.setdefault(ink.ids[-1], []).append((ink.box[1] + ink.box[3]) / 2)
        full = (lines for lines in staves.values() if len(lines) == 5)
        return next(((max(lines) - min(lines)) / self.width * width_mm for lines in full), None)

    def _walk(
        self,
        group: etree._Element,
        place: Transform,
        classes: tuple[str, ...],
        ids: tuple[str, ...],
        look: "_Look",
    ) -> Iterator[Ink]:
        for element in group:
            name = (element.get("class") or "").split(" ")[0]
            if not isinstance(element.tag, str) or element.get("visibility") == "hidden":
                continue
            if "placeholder" in (element.get("class") or ""):
                continue
            here = place.transform(_transform(element.get("transform")))
            kind = element.tag.removeprefix(SVG)
            if kind == "g":
                inner = look.within(name)
                yield from self._walk(
                    element,
                    here,
                    (*classes, name),
                    (*ids, element.get("id") or str(next(self._unnamed))),
                    inner,
                )
            elif kind == "text":
                for box, text in _texts(element, look):
                    yield Ink(classes, ids, _moved(box, here), text, kind)
            elif (box := self._box(kind, element, here)) is not None:
                is_tint = kind == "rect" and element.get("style") == "stroke:none"
                yield Ink(classes, ids, box, shape="tint" if is_tint else kind)

    def _box(self, kind: str, element: etree._Element, place: Transform) -> Box | None:
        half = float(element.get("stroke-width") or 0) / 2
        if kind == "path":
            pen = BoundsPen(None)
            parse_path(element.get("d", ""), TransformPen(pen, place))
            return None if pen.bounds is None else _wider(pen.bounds, half)
        if kind in ("polygon", "polyline"):
            points = [tuple(map(float, point.split(","))) for point in element.get("points", "").split()]
            return _wider(
                around([(x, y, x, y) for x, y in (place.transformPoint(each) for each in points)]), half
            )
        number = {
            name: float(element.get(name) or 0)
            for name in ("x", "y", "width", "height", "cx", "cy", "rx", "ry")
        }
        if kind == "rect":
            x, y = number["x"], number["y"]
            return _moved((x, y, x + number["width"], y + number["height"]), place)
        if kind == "ellipse":
            x, y, wide, high = (number[name] for name in ("cx", "cy", "rx", "ry"))
            return _moved((x - wide, y - high, x + wide, y + high), place)
        if kind == "use":
            sign = self._signs.get((element.get("href") or "").lstrip("#"))
            pen = BoundsPen(None)
            for path in sign.iter(f"{SVG}path") if sign is not None else ():
                inner = place.translate(number["x"], number["y"]).transform(_transform(path.get("transform")))
                parse_path(path.get("d", ""), TransformPen(pen, inner))
            return pen.bounds
        return None


@dataclass(frozen=True, slots=True)
class _Look:
    size: float = 0.0
    bold: bool = False
    italic: bool = False

    def within(self, name: str) -> "_Look":
        return _Look(self.size, self.bold or name in _BOLD, self.italic or name in _ITALIC)

    def of(self, span: etree._Element) -> "_Look":
        size, style, weight = (span.get(f"font-{name}") for name in ("size", "style", "weight"))
        return _Look(
            float(size.removesuffix("px")) if size else self.size,
            weight == "bold" if weight else self.bold,
            style == "italic" if style else self.italic,
        )


def _texts(text: etree._Element, look: _Look) -> Iterator[tuple[Box, str]]:
    """Each line of a text, as wide as the fonts of the sheets set it."""
    register_fonts()
    lines: list[tuple[float, float, str, list[tuple[str, _Look]]]] = [
        (float(text.get("x") or 0), float(text.get("y") or 0), text.get("text-anchor") or "", [])
    ]

    def walk(span: etree._Element, outer: _Look) -> None:
        own = outer.of(span)
        if span is not text and (span.get("x") or span.get("y")):
            x, y, anchor, _ = lines[-1]
            lines.append(
                (float(span.get("x") or x), float(span.get("y") or y), span.get("text-anchor") or anchor, [])
            )
        if span.text and own.size > 0 and (len(span) == 0 or span.text.strip()):
            lines[-1][3].append((span.text, own))
        for child in span:
            walk(child, own)

    walk(text, look)
    for x, y, anchor, runs in lines:
        words = "".join(run for run, _ in runs).rstrip()
        if words:
            runs[-1] = runs[-1][0].rstrip(), runs[-1][1]
            wide = sum(
                text_width(run, font_name(MUSIC_TEXT, bold=own.bold, italic=own.italic), own.size)
                for run, own in runs
            )
            left = x - {"middle": wide / 2, "end": wide}.get(anchor, 0.0)
            size = max(own.size for _, own in runs)
            low = 0.2 * size if re.search("[gjpqy,]", words) else 0.0
            high = (0.68 if re.search("[A-Z0-9bdfhkltß]", words) else 0.46) * size
            yield (left, y - high, left + wide, y + low), words


def _transform(text: str | None) -> Transform:
    found = Identity
    for kind, numbers in _STEP.findall(text or ""):
        values = [float(each) for each in re.split("[ ,]+", numbers.strip())]
        found = found.translate(*values) if kind == "translate" else found.scale(values[0], values[-1])
    return found


def _moved(box: Box, place: Transform) -> Box:
    (x, y), (right, low) = place.transformPoint(box[:2]), place.transformPoint(box[2:])
    return min(x, right), min(y, low), max(x, right), max(y, low)


def _wider(box: Box, by: float) -> Box:
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def around(boxes: Sequence[Box]) -> Box:
    """The box of several."""
    lefts, tops, rights, lows = zip(*boxes, strict=True)
    return min(lefts), min(tops), max(rights), max(lows)


def cross(one: Box, other: Box) -> bool:
    """Whether two boxes share a place."""
    wide = min(one[2], other[2]) - max(one[0], other[0])
    high = min(one[3], other[3]) - max(one[1], other[1])
    return wide > TOUCH and high > TOUCH


def painted_over(svg: str) -> list[str]:
    """Ink that a tint drawn after it covers."""
    drawing = Drawing(svg)
    return [
        ink.text or ink.classes[-1]
        for at, tint in drawing.tints
        for ink in drawing.ink[:at]
        if cross(ink.box, tint)
    ]


def left_out(passage: Sequence[etree._Element], svg: str) -> Iterator[str]:
    """Ties, slurs and hairpins that go over an edge of a passage and are not drawn.

    Args:
        passage: Its measures in a clean score; its first notes may be tied from before.
        svg: The drawing.
    """
    drawing = Drawing(svg)
    tied = [note for note in passage[0].iterfind("note") if note.find("tie[@type='stop']") is not None]
    begun = [note for note in tied if not _is_tied_within(passage[0], note)]
    ties = len(begun) + sum(len(measure.findall("note/tie[@type='start']")) for measure in passage)
    if ties > (drawn := len(drawing.groups("tie"))):
        yield f"ties left out: {ties - drawn}"
    for name, tag, starts in (
        ("slur", "slur", ("start",)),
        ("hairpin", "wedge", ("crescendo", "diminuendo")),
    ):
        ends = [each.get("type") for measure in passage for each in measure.iter(tag)]
        signs = max(sum(end in starts for end in ends), sum(end == "stop" for end in ends))
        if signs > (drawn := len(drawing.groups(name))):
            yield f"{name}s left out: {signs - drawn}"


def _is_tied_within(measure: etree._Element, note: etree._Element) -> bool:
    """Whether a note of the same pitch before it in its bar begins the tie."""
    notes = measure.findall("note")
    place = pitch_of(note), note.findtext("voice")
    return any(
        (pitch_of(each), each.findtext("voice")) == place and each.find("tie[@type='start']") is not None
        for each in notes[: notes.index(note)]
    )


def pitch_of(note: etree._Element) -> tuple[str | None, ...]:
    """Step, sign and octave of a note."""
    return tuple(note.findtext(f"pitch/{name}") for name in ("step", "alter", "octave"))


def faults(svg: str, width_mm: float, shown: range | None = None) -> Iterator[str]:
    """What a musician would take exception to in an excerpt, a line each.

    Args:
        svg: The drawing.
        width_mm: Its width on paper.
        shown: Measures that have to be in it.
    """
    drawing = Drawing(svg)
    staff = drawing.staff_mm(width_mm)
    if staff is not None and staff < LEAST_STAFF_MM - 0.01:
        yield f"small staff: {staff:.2f} mm"
    if shown is not None and not any(ink.within("multiRest") for ink in drawing.ink):
        yield from (f"bar missing: {at}" for at in shown if at not in drawing.measures)
    for ink in drawing.ink:
        left, top, right, low = ink.box
        if left < -1 or top < -1 or right > drawing.width + 1 or low > drawing.height + 1:
            yield f"off the drawing: {ink.classes[-1:]} {ink.text}"
    yield from (f"painted over: {each}" for each in painted_over(svg))
    yield from _over_each_other(drawing)


def _over_each_other(drawing: Drawing) -> Iterator[str]:
    words, hairpins = drawing.groups(*WORDS), drawing.groups("hairpin")
    syllables = [ink for ink in drawing.ink if ink.text and ink.within("syl")]
    notes = [ink for ink in drawing.ink if ink.within(*NOTES) and not ink.within("syl")]
    for name, ones, others in (
        ("words over words", words, words), ("words over a hairpin", words, hairpins),
        ("hairpin over hairpin", hairpins, hairpins), ("syllable over syllable", syllables, syllables),
        ("syllable over words", syllables, [*words, *hairpins]), ("words over notes", words, notes),
        ("syllable over notes", syllables, notes), ("hairpin over notes", hairpins, notes),
    ):  # fmt: skip
        for at, one in enumerate(ones):
            for other in others[:at] if ones is others else others:
                if cross(one.box, other.box):
                    yield f"{name}: {one.text or one.classes} {other.text or other.classes[-1:]}"
