"""From bytes to a MusicXML tree that can be trusted: safe parsing, and mending of known faults.

Everything mended is reported as an ``Issue`` of severity ``note``; what cannot
be mended is refused with the line where it broke. Entities are never expanded
and nothing is fetched.
"""

import re
from collections.abc import Iterator

from lxml import etree

from planner.core.issue import Issue, valued
from planner.errors import ScoreReadError, UnsupportedScoreError

_DECLARATION = re.compile(rb"^\s*<\?xml[^>]*?encoding\s*=\s*[\"']([A-Za-z0-9._\-]+)[\"'][^>]*\?>")
_DECLARED = re.compile(r"^\ufeff?\s*<\?xml[^>]*?encoding\s*=\s*[\"']([A-Za-z0-9._\-]+)")
_TEXT_DECLARATION = re.compile(r"^\s*<\?xml[^>]*\?>")
_BOMS = (
    (b"\xef\xbb\xbf", "utf-8-sig"),
    (b"\xff\xfe\x00\x00", "utf-32"),
    (b"\x00\x00\xfe\xff", "utf-32"),
    (b"\xff\xfe", "utf-16"),
    (b"\xfe\xff", "utf-16"),
)
_SINGLE_BYTE = {
    "iso-8859-1",
    "latin-1",
    "latin1",
    "windows-1252",
    "cp1252",
    "us-ascii",
    "ascii",
    "iso-8859-15",
}


def parse_musicxml(name: str, data: bytes) -> tuple[etree._Element, tuple[Issue, ...]]:
    """The ``score-partwise`` root of a MusicXML file, mended, and what was mended.

    Raises:
        ScoreReadError: If the XML is damaged or declares entities.
        UnsupportedScoreError: If it is XML but no MusicXML score.
    """
    text, issues = decode(name, data)
    head = text[: 1 << 16]
    if "<!ENTITY" in text and "<!ENTITY" in text.split("<score-", 1)[0]:
        raise ScoreReadError(
            name, "it declares XML entities, which a score never needs and which are not safe"
        )
    if not _TEXT_DECLARATION.sub("", head).lstrip("\ufeff \t\r\n").startswith("<"):
        raise UnsupportedScoreError(name, "it is not a score: it does not begin as XML")
    root = _parse(name, _TEXT_DECLARATION.sub("", text.lstrip("\ufeff \t\r\n"), count=1))
    root = _as_partwise(name, root, issues)
    issues += _heal_metronomes(root)
    return root, tuple(issues)


def decode(name: str, data: bytes) -> tuple[str, list[Issue]]:
    """The text of an XML file by what its bytes are, whatever its declaration says."""
    for encoding in _candidates(data):
        try:
            text = data.decode(encoding)
        except (UnicodeError, LookupError):
            continue
        found = _DECLARED.match(text[:400])
        declared = found.group(1).lower() if found else ""
        harmless = data.isascii() and not _family(declared).startswith(("utf-16", "utf-32"))
        if declared and not harmless and _family(encoding) != _family(declared):
            values = valued(file=name, declared=declared, actual=encoding)
            return text, [Issue("encoding-healed", "note", values=values)]
        return text, []
    raise ScoreReadError(name, "its text is in no known encoding")


def _candidates(data: bytes) -> Iterator[str]:
    """Encodings to try, the likeliest first: what the bytes show, then the declared one, then common ones."""
    for bom, encoding in _BOMS:
        if data.startswith(bom):
            yield encoding
    if data[:1] == b"\x00":
        yield "utf-16-be"
    elif data[1:2] == b"\x00":
        yield "utf-16-le"
    yield "utf-8"
    declared = _DECLARATION.match(data)
    if declared and not declared.group(1).lower().startswith(b"utf"):
        yield declared.group(1).decode("ascii")
    yield "cp1252"
    yield "latin-1"


def _family(encoding: str) -> str:
    """Encodings that need no remark between them share a family."""
    lowered = encoding.lower().replace("_", "-")
    for family in ("utf-16", "utf-32"):
        if lowered.startswith((family, family.replace("-", ""))):
            return family
    if lowered.startswith(("utf-8", "utf8")):
        return "utf-8"
    return "single-byte" if lowered in _SINGLE_BYTE else lowered


def _parse(name: str, text: str) -> etree._Element:
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False,
        remove_comments=True, remove_pis=True, remove_blank_text=True,
    )  # fmt: skip
    try:
        return etree.fromstring(text.encode("utf-8"), parser)
    except etree.XMLSyntaxError as error:
        line = error.lineno or 0
        cause = str(error.msg or "unknown fault").split(", line")[0]
        raise ScoreReadError(name, f"it is damaged at line {line} ({cause})") from error
    except ValueError as error:
        raise ScoreReadError(name, f"its text cannot be read ({error})") from error


def _as_partwise(name: str, root: etree._Element, issues: list[Issue]) -> etree._Element:
    if isinstance(root.tag, str) and root.tag.startswith("{"):
        for element in root.iter():
            if isinstance(element.tag, str) and element.tag.startswith("{"):
                element.tag = etree.QName(element).localname
        issues.append(Issue("namespace-healed", "note", values=valued(file=name)))
    if root.tag == "score-timewise":
        issues.append(Issue("timewise-healed", "note", values=valued(file=name)))
        return _to_partwise(root)
    if root.tag == "score-partwise":
        return root
    if root.tag == "opus":
        raise UnsupportedScoreError(
            name, "it is a list of scores (an opus), not a score; add the scores themselves"
        )
    raise UnsupportedScoreError(name, f"it is XML but not a score (it begins with <{str(root.tag)[:40]}>)")


def _heal_metronomes(root: etree._Element) -> list[Issue]:
    """Drop metronome marks with an empty beat unit, and chord symbols without a real root."""
    issues = []
    for mark in list(root.iter("metronome")):
        units = mark.findall("beat-unit")
        if any(not (unit.text or "").strip() for unit in units):
            issues.append(Issue("metronome-healed", "note", "", *_place_of(mark)))
            _drop(mark)
    for harmony in list(root.iter("harmony")):
        step = harmony.findtext("root/root-step")
        if step is not None and step.strip() not in set("ABCDEFG"):
            issues.append(Issue("harmony-healed", "note", "", *_place_of(harmony)))
            _drop(harmony)
    return issues


def _place_of(element: etree._Element) -> tuple[int | None, tuple[tuple[str, str], ...]]:
    """Measure of an element in its part, with the number printed on it; of none where it is in no measure."""
    measure = next(element.iterancestors("measure"), None)
    if measure is None:
        return None, ()
    parent = measure.getparent()
    return parent.index(measure) if parent is not None else None, (("bar", measure.get("number", "?")),)


def _drop(element: etree._Element) -> None:
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)


def _to_partwise(root: etree._Element) -> etree._Element:
    """A ``score-partwise`` tree with the content of a ``score-timewise`` one.

    The elements are moved, not copied: ``root`` is empty of music afterwards. A part
    missing from a measure gets an empty measure there, so that places stay aligned.

    Source: MusicXML 4.0 defines both orders as holding the same ``measure`` content
    (W3C, score-timewise and score-partwise); only the nesting differs.
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
