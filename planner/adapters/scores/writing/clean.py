"""The clean file: what the reader mended, split and named, written once as MusicXML for all that draws.

It is the file's own tree, so that nothing the page prints is lost (slurs, beams, lyrics,
articulations), brought to these promises:

- Parts stand in the order of the study, with the study's names; part ``n`` has the id ``P<n>``,
  counted from 1, and as many staves throughout as its first measure says.
- Every part has every measure; the ``id`` of a measure is ``P<n>-m<position>``, counted from 0.
- What the reader left out is left out. Numbers lie within what is printed anywhere.
- Every part carries the landmarks of the score (letters, roadmap signs, tempos). One that the file
  has in another part only is marked ``system="also-top"``: a full score leaves it out.
- A concert-pitch score keeps its mark and its ``part-transpose``, by which a player's page is moved.

The same file gives the same bytes.
"""

import io
import zipfile
from collections.abc import Sequence
from copy import deepcopy
from fractions import Fraction

from lxml import etree

from planner.adapters.scores.reading.draft import Landmark, PartDraft, decimal, fold, whole
from planner.adapters.scores.writing.clean_bar import bound, clean_measure, drop
from planner.core.score import Part, Score

CLEAN_VERSION = 2
"""Counted up whenever the clean file of the same score changes: older ones are then made again."""

_ENTRY = "score.musicxml"
_CONTAINER = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<container><rootfiles><rootfile full-path="score.musicxml" '
    'media-type="application/vnd.recordare.musicxml+xml"/></rootfiles></container>\n'
)
_ZIP_EPOCH = (1980, 1, 1, 0, 0, 0)
_LONGEST_NAME = 200


def clean_tree(root: etree._Element, score: Score, drafts: Sequence[PartDraft]) -> etree._Element:
    """The clean tree of a score.

    Args:
        root: The tree that was read; its parts are moved out of it, not copied.
        score: What was read of it.
        drafts: What the walk through each part of the score gathered, in order.
    """
    music = {element.get("id", ""): element for element in root.findall("part")}
    elements = [music[part.id] for part in score.parts]
    landmarks = _landmarks(drafts)
    for draft in drafts:
        for element, text in draft.mends:
            if text is None:
                drop(element)
            else:
                element.text = text
    out = etree.Element("score-partwise", {"version": "4.0"})
    _write_head(out, root, score)
    for at, (part, draft, element) in enumerate(zip(score.parts, drafts, elements, strict=True)):
        _clean_part(element, at, part, score)
        _add_landmarks(element, landmarks, draft.landmarks)
        out.append(element)
    return out


def packed(tree: etree._Element) -> bytes:
    """A tree as compressed MusicXML, the same bytes every time."""
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        written = etree.tostring(tree, encoding="utf-8", xml_declaration=True)
        for name, content in (("META-INF/container.xml", _CONTAINER.encode()), (_ENTRY, written)):
            entry = zipfile.ZipInfo(name, _ZIP_EPOCH)
            entry.compress_type, entry.external_attr = zipfile.ZIP_DEFLATED, 0o644 << 16
            archive.writestr(entry, content)
    return data.getvalue()


def _write_head(out: etree._Element, root: etree._Element, score: Score) -> None:
    etree.SubElement(etree.SubElement(out, "work"), "work-title").text = score.title
    about = etree.SubElement(out, "identification")
    for creator in score.creators:
        etree.SubElement(about, "creator", {"type": creator.role}).text = creator.name
    if score.rights:
        etree.SubElement(about, "rights").text = score.rights
    if root.find("defaults/concert-score") is not None:
        etree.SubElement(etree.SubElement(out, "defaults"), "concert-score")
    listed = etree.SubElement(out, "part-list")
    place = {part.id: at for at, part in enumerate(score.parts)}
    groups: dict[str, int] = {}
    numbers = 0
    last = -1
    for element in root.iterfind("part-list/*"):
        if element.tag == "score-part" and place.get(element.get("id", ""), -1) == last + 1:
            last += 1
            _list_part(listed, last, score.parts[last], element)
        elif element.tag == "part-group":
            number = element.get("number", "1")
            if element.get("type") == "start":
                groups.pop(number, None)
                numbers += 1
                groups[number] = numbers
                listed.append(_group_start(element, numbers))
            elif number in groups:
                stop = {"type": "stop", "number": str(groups.pop(number))}
                etree.SubElement(listed, "part-group", stop)
    for at in range(last + 1, len(score.parts)):
        _list_part(listed, at, score.parts[at], None)
    for open_number in groups.values():
        etree.SubElement(listed, "part-group", {"type": "stop", "number": str(open_number)})


def _list_part(listed: etree._Element, at: int, part: Part, element: etree._Element | None) -> None:
    entry = etree.SubElement(listed, "score-part", {"id": f"P{at + 1}"})
    etree.SubElement(entry, "part-name").text = part.name
    if part.abbreviation:
        etree.SubElement(entry, "part-abbreviation").text = part.abbreviation
    programs = []
    for source in element.iterfind("score-instrument") if element is not None else ():
        kept = etree.SubElement(entry, "score-instrument", {"id": source.get("id", "")})
        etree.SubElement(kept, "instrument-name").text = fold(source.findtext("instrument-name"))
        if fold(source.findtext("instrument-sound")):
            etree.SubElement(kept, "instrument-sound").text = fold(source.findtext("instrument-sound"))
        programs.append(source.get("id", ""))
    if part.midi_program is not None and programs:
        program = etree.SubElement(entry, "midi-instrument", {"id": programs[0]})
        etree.SubElement(program, "midi-program").text = str(part.midi_program)


def _group_start(element: etree._Element, number: int) -> etree._Element:
    start = etree.Element("part-group", {"type": "start", "number": str(number)})
    for tag in ("group-name", "group-abbreviation", "group-symbol", "group-barline"):
        text = fold(element.findtext(tag))
        if text:
            etree.SubElement(start, tag).text = text[:_LONGEST_NAME]
    return start


def _clean_part(element: etree._Element, at: int, part: Part, score: Score) -> None:
    """Bring a part to the promises: its identity, every measure, as many staves throughout."""
    element.attrib.clear()
    element.set("id", f"P{at + 1}")
    measures = list(element.iterchildren("measure"))
    element[:] = measures
    bound(element)
    missing = range(len(measures), len(score.measures))
    measures += [etree.SubElement(element, "measure") for _ in missing]
    for measure, written in zip(measures, score.measures, strict=True):
        implicit = measure.get("implicit") == "yes"
        measure.attrib.clear()
        measure.set("id", f"P{at + 1}-m{written.index}")
        measure.set("number", written.number)
        if implicit:
            measure.set("implicit", "yes")
        clean_measure(measure, part.staves)
    if part.staves > 1:
        _say_staves(measures[0], part.staves)


def _say_staves(measure: etree._Element, staves: int) -> None:
    opening = measure.find("attributes")
    if opening is None:
        opening = etree.Element("attributes")
        measure.insert(0, opening)
    before = ("footnote", "level", "divisions", "key", "time")
    place = sum(1 for child in opening if child.tag in before)
    element = etree.Element("staves")
    element.text = str(staves)
    opening.insert(place, element)


def _landmarks(drafts: Sequence[PartDraft]) -> list[Landmark]:
    """Each landmark once: of parts that repeat it in a measure, the topmost speaks."""
    found: list[Landmark] = []
    seen: set[tuple[int, str]] = set()
    for draft in drafts:
        here = [mark for mark in draft.landmarks if not any((mark.measure, k) in seen for k in mark.kinds)]
        found += here
        seen.update((mark.measure, kind) for mark in here for kind in mark.kinds)
    return sorted(found, key=lambda mark: (mark.measure, mark.onset_quarters))


def _add_landmarks(part: etree._Element, landmarks: Sequence[Landmark], own: Sequence[Landmark]) -> None:
    """Put into a part those landmarks of the score that it lacks."""
    stated = {(mark.measure, kind) for mark in own for kind in mark.kinds}
    missing: dict[int, list[Landmark]] = {}
    for mark in landmarks:
        if not any((mark.measure, kind) in stated for kind in mark.kinds):
            missing.setdefault(mark.measure, []).append(mark)
    if not missing:
        return
    divisions = 1
    for position, measure in enumerate(part):
        divisions = whole(measure.findtext("attributes/divisions")) or divisions
        for mark in missing.get(position, ()):
            _insert(measure, mark, divisions)


def _insert(measure: etree._Element, mark: Landmark, divisions: int) -> None:
    """Before the first note that begins no earlier; else at the end of the measure's first voice."""
    copy = deepcopy(mark.element)
    copy.tail = None
    for tag in ("offset", "staff", "voice"):
        for child in copy.findall(tag):
            copy.remove(child)
    copy.set("system", "also-top")
    onset = Fraction(0)
    for place, element in enumerate(measure):
        is_there = element.tag == "note" and onset >= mark.onset_quarters
        if is_there or element.tag == "backup" or _ends_measure(element):
            measure.insert(place, copy)
            return
        if element.tag == "forward" or (
            element.tag == "note" and element.find("chord") is None and element.find("grace") is None
        ):
            onset += (decimal(element.findtext("duration")) or Fraction(0)) / divisions
    measure.append(copy)


def _ends_measure(element: etree._Element) -> bool:
    return element.tag == "barline" and element.get("location", "right") == "right"
