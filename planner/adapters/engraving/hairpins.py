"""Hairpins and dashes give way to the dynamics that they would run through."""

from collections.abc import Iterator
from copy import deepcopy
from dataclasses import dataclass
from fractions import Fraction

from lxml import etree

from planner.adapters.engraving.timeline import attributes_of, events

NEAR = Fraction(1, 2)
"""Quarters from its end within which a hairpin ends at a dynamic, or begins at it. Source: house choice; in
print a hairpin reaches from dynamic to dynamic."""
_STARTS = ("crescendo", "diminuendo", "start")


@dataclass(slots=True)
class _Line:
    """A hairpin or dashes, from when to when, counted in quarters from the start of the passage."""

    start: etree._Element
    begins: Fraction
    stop: etree._Element
    ends: Fraction


@dataclass(frozen=True, slots=True)
class _Dynamic:
    direction: etree._Element
    at: Fraction


def part_from_dynamics(part: etree._Element) -> None:
    """End each hairpin at a dynamic beneath its course, and let it go on behind; none reaches into the next.

    Near its end it ends there, near its beginning it begins there; dashes end at the first dynamic.
    """
    lines, dynamics = _found(part)
    for line in lines:
        for dynamic in dynamics:
            if line.begins < dynamic.at < line.ends and _meet(line.start, dynamic.direction):
                _give_way(line, dynamic)
    for line in lines:
        for following in lines:
            starts = line.start.tag == "dashes" and following.start.tag == "wedge"
            if (
                starts
                and line.begins < following.begins < line.ends
                and _meet(line.start, _direction(following.start))
            ):
                _end_before(line, following)
    for line, following in _overlapping(lines):
        _end_before(line, following)
    for line in lines:
        if line.ends <= line.begins:
            _drop(line.start)
            _drop(line.stop)


def _end_before(line: _Line, following: _Line) -> None:
    line.stop, line.ends = _moved(line.stop, _direction(following.start), behind=False), following.begins


def _overlapping(lines: list[_Line]) -> Iterator[tuple[_Line, _Line]]:
    """Each hairpin that reaches into the next at its staff, with that."""
    hairpins = sorted((line for line in lines if line.start.tag == "wedge"), key=lambda line: line.begins)
    for at, line in enumerate(hairpins):
        for following in hairpins[at + 1 :]:
            if following.begins < line.ends and _meet(line.start, _direction(following.start)):
                yield line, following
                break


def _give_way(line: _Line, dynamic: _Dynamic) -> None:
    after, before = dynamic.at - line.begins, line.ends - dynamic.at
    if line.start.tag != "dashes" and after <= NEAR and after < before:
        line.start, line.begins = _moved(line.start, dynamic.direction, behind=True), dynamic.at
        return
    if before <= NEAR or line.start.tag == "dashes":
        line.stop, line.ends = _moved(line.stop, dynamic.direction, behind=False), dynamic.at
        return
    _copied(line.stop, dynamic.direction, behind=False)
    line.start, line.begins = _copied(line.start, dynamic.direction, behind=True), dynamic.at


def _found(part: etree._Element) -> tuple[list[_Line], list[_Dynamic]]:
    opened: dict[tuple[str, str], tuple[etree._Element, Fraction]] = {}
    lines: list[_Line] = []
    dynamics: list[_Dynamic] = []
    for event in sorted(events(part), key=lambda event: event.place):
        if event.element.tag != "direction":
            continue
        if event.element.find("direction-type/dynamics") is not None:
            dynamics.append(_Dynamic(event.element, event.since))
        for span in event.element.iter("wedge", "dashes"):
            key = str(span.tag), span.get("number", "1")
            if span.get("type") in _STARTS:
                opened[key] = span, event.since
            elif span.get("type") == "stop" and key in opened:
                start, begins = opened.pop(key)
                lines.append(_Line(start, begins, span, event.since))
    return lines, dynamics


def _meet(span: etree._Element, other: etree._Element) -> bool:
    """Whether a line and a direction stand at the same staff, on the same side of it."""
    mine = _direction(span)
    if (mine.findtext("staff") or "1") != (other.findtext("staff") or "1"):
        return False
    sides = mine.get("placement"), other.get("placement")
    return sides[0] == sides[1] or not all(sides)


def _moved(span: etree._Element, beside: etree._Element, *, behind: bool) -> etree._Element:
    copy = _copied(span, beside, behind=behind)
    _drop(span)
    return copy


def _copied(span: etree._Element, beside: etree._Element, *, behind: bool) -> etree._Element:
    """The same end of a line in a direction of its own, beside another."""
    source = _direction(span)
    direction = etree.Element("direction", attributes_of(source))
    copy = deepcopy(span)
    etree.SubElement(direction, "direction-type").append(copy)
    direction.extend(deepcopy(each) for each in source.findall("staff"))
    if behind:
        beside.addnext(direction)
    else:
        beside.addprevious(direction)
    return copy


def _direction(span: etree._Element) -> etree._Element:
    return next(span.iterancestors("direction"))


def _drop(span: etree._Element) -> None:
    """Take an end of a line out, and its direction where that holds nothing else."""
    kind = span.getparent()
    direction = _direction(span)
    if kind is not None:
        kind.remove(span)
        if len(kind) == 0:
            direction.remove(kind)
    parent = direction.getparent()
    if direction.find("direction-type") is None and parent is not None:
        parent.remove(direction)
