"""How a score ordered bar by bar becomes one ordered part by part.

Source: MusicXML 4.0 defines both orders as holding the same ``measure`` content
(W3C, score-timewise and score-partwise); only the nesting differs.
"""

from lxml import etree


def to_partwise(root: etree._Element) -> etree._Element:
    """A ``score-partwise`` tree with the content of a ``score-timewise`` one.

    The elements are moved, not copied: ``root`` is empty of music afterwards. A part
    missing from a measure gets an empty measure there, so that places stay aligned.
    """
    partwise = etree.Element("score-partwise", {str(k): str(v) for k, v in root.attrib.items()})
    measures = root.findall("measure")
    for child in list(root):
        if child.tag != "measure":
            partwise.append(child)
    ids: dict[str, None] = {}
    for measure in measures:
        ids.update((part.get("id", ""), None) for part in measure.findall("part"))
    for part_id in ids:
        part = etree.SubElement(partwise, "part", id=part_id)
        for measure in measures:
            target = etree.SubElement(part, "measure", {str(k): str(v) for k, v in measure.attrib.items()})
            for source in measure.findall("part"):
                if source.get("id", "") == part_id:
                    target.extend(list(source))
    return partwise
