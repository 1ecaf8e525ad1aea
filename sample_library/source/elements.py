"""XML elements that every part of the writer makes."""

import xml.etree.ElementTree as ET

DIVISIONS = 12
"""MusicXML divisions of a quarter: sixteenths and triplet eighths come out whole."""


def sub(parent: ET.Element, tag: str, text: object = None, **attributes: object) -> ET.Element:
    """A child element; underscores in attribute names become hyphens."""
    child = ET.SubElement(
        parent, tag, {k.rstrip("_").replace("_", "-"): str(v) for k, v in attributes.items()}
    )
    if text is not None:
        child.text = str(text)
    return child


def direction(measure: ET.Element, placement: str) -> tuple[ET.Element, ET.Element]:
    """A direction above or below the staff, and its type element to be filled."""
    element = sub(measure, "direction", placement=placement)
    return element, sub(element, "direction-type")
