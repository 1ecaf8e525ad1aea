"""Which MusicXML is inside a score file: the partwise tree, parsed with entities and network off."""

import re
import zipfile
from collections.abc import Callable
from pathlib import Path

from lxml import etree

from planner.errors import ScoreReadError

MUSICXML_SUFFIXES = (".musicxml", ".xml", ".mxl")
LARGEST_XML_BYTES = 200 * 1024 * 1024
"""A packed score that unpacks above this is refused.

Source: House choice, the bound of the import's own check.
"""
_DECLARATION = re.compile(r"^\s*<\?xml[^>]*\?>")
_CONTAINER = "META-INF/container.xml"


def read_partwise(path: Path, to_musicxml: Callable[[Path], bytes] | None = None) -> etree._Element:
    """The ``score-partwise`` tree of a ``.musicxml``, ``.xml`` or ``.mxl`` file.

    Args:
        path: The score file.
        to_musicxml: Turns a file of another format into MusicXML; None refuses those.

    Raises:
        ScoreReadError: If there is no such file, or no score in it that can be engraved.
    """
    try:
        if to_musicxml is not None and path.suffix.lower() not in MUSICXML_SUFFIXES:
            root = _parse(to_musicxml(path))
        else:
            root = _parse(_xml_bytes(path))
    except FileNotFoundError as error:
        raise ScoreReadError(path.name, "the stored score file is missing") from error
    except (OSError, zipfile.BadZipFile, KeyError, RuntimeError, etree.XMLSyntaxError) as error:
        raise ScoreReadError(path.name, "it cannot be opened as MusicXML to engrave it") from error
    _drop_namespaces(root)
    if root.tag == "score-timewise":
        root = _partwise(root)
    if root.tag != "score-partwise" or root.find("part/measure") is None:
        raise ScoreReadError(path.name, "there is no MusicXML part in it to engrave")
    return root


def parts_in_order(root: etree._Element) -> list[etree._Element]:
    """The parts' music in the order of the part list, then any part the list leaves out.

    The same order in which the study numbers the parts of a score.
    """
    music = {part.get("id", ""): part for part in root.findall("part")}
    listed = [entry.get("id", "") for entry in root.iterfind("part-list/score-part")]
    order = [id_ for id_ in dict.fromkeys(listed) if id_ in music]
    return [music[id_] for id_ in (*order, *(id_ for id_ in music if id_ not in order))]


def _parse(data: bytes) -> etree._Element:
    try:
        return etree.fromstring(data, _parser())
    except etree.XMLSyntaxError:
        text = _DECLARATION.sub("", _decoded(data), count=1)
        return etree.fromstring(text.encode("utf-8"), _parser())


def _parser() -> etree.XMLParser:
    return etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, remove_comments=True, remove_pis=True
    )


def _decoded(data: bytes) -> str:
    """The text of a file whose declared encoding is not its real one."""
    likely = "utf-16" if b"\x00" in data[:4] else "utf-8-sig"
    for encoding in (likely, "cp1252"):
        try:
            return data.decode(encoding).lstrip()
        except UnicodeError:
            continue
    return data.decode("latin-1")


def _drop_namespaces(root: etree._Element) -> None:
    if isinstance(root.tag, str) and root.tag.startswith("{"):
        for element in root.iter("*"):
            element.tag = etree.QName(element).localname


def _xml_bytes(path: Path) -> bytes:
    data = path.read_bytes()
    if not data.startswith(b"PK"):
        return data
    with zipfile.ZipFile(path) as archive:
        name = _rootfile(archive)
        if archive.getinfo(name).file_size > LARGEST_XML_BYTES:
            raise ScoreReadError(path.name, "it unpacks to more than 200 MB")
        return archive.read(name)


def _rootfile(archive: zipfile.ZipFile) -> str:
    names = archive.namelist()
    if _CONTAINER in names:
        for element in _parse(archive.read(_CONTAINER)).iter("{*}rootfile"):
            kind = element.get("media-type", "")
            if element.get("full-path") in names and kind in ("", "application/vnd.recordare.musicxml+xml"):
                return str(element.get("full-path"))
    for name in names:
        if name.endswith((".musicxml", ".xml")) and not name.startswith("META-INF/"):
            return name
    raise KeyError("no score in the archive")


def _partwise(timewise: etree._Element) -> etree._Element:
    """Measures of parts in place of parts of measures, everything else as it was."""
    root = etree.Element("score-partwise")
    parts: dict[str, etree._Element] = {}
    for child in timewise:
        if child.tag != "measure":
            root.append(child)
            continue
        for part in list(child):
            home = parts.get(part.get("id", ""))
            if home is None:
                home = parts[part.get("id", "")] = etree.SubElement(root, "part", {"id": part.get("id", "")})
            measure = etree.SubElement(home, "measure")
            for name, value in child.attrib.items():
                measure.set(name, value)
            measure.extend(list(part))
    return root
