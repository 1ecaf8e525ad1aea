"""Cutting a passage out of a clean score: some measures of some parts, with what is in force there."""

from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass
from fractions import Fraction

from lxml import etree

from planner.adapters.engraving.edges import (
    AFTER,
    BEFORE,
    FAR,
    Beyond,
    beyond_edges,
    close_strays,
    remind_of_accidental,
)
from planner.adapters.engraving.hairpins import part_from_dynamics
from planner.adapters.engraving.one_style import bring_to_one_style, write_short_rests
from planner.adapters.engraving.spans import mend_spans
from planner.adapters.engraving.timeline import attributes_of

_ATTRIBUTE_ORDER = (
    "divisions", "key", "time", "staves", "part-symbol", "instruments", "clef", "staff-details", "transpose",
    "for-part",
)  # fmt: skip
"""Order in which MusicXML wants the children of ``attributes``."""
_TIMED = ("note", "backup", "forward")


LETTERS = 90
"""Letters of words in a line of text. Source: house choice, for a line of a whole page."""


@dataclass(frozen=True, slots=True)
class Edges:
    """How a passage is laid out.

    Attributes:
        lines: First measure of each line of music.
        has_end: Whether what goes over its end is drawn too.
    """

    lines: tuple[int, ...]
    has_end: bool = True


def cut(
    root: etree._Element, parts: Sequence[int], measure: int, end_measure: int,
    edges: Edges | None = None, letters: int = LETTERS,
) -> bytes:  # fmt: skip
    """MusicXML of written measures ``measure`` to ``end_measure`` of the parts at these places.

    What is in force where the passage begins (clefs, keys, time, transposition,
    octave lines) is carried into its first measure. Each measure's ``id`` is its position
    (``m12``). Landmarks that the clean file put into a part from another are kept in a single
    part and left out of a score, where the other part shows them. ``root`` is not changed.

    Args:
        root: The clean score.
        parts: Places of the parts.
        measure: First measure.
        end_measure: Last one.
        edges: How the passage is laid out, where that is known. Then what goes over its edges begins or
            ends in bars on pages of their own; see ``edges``. Otherwise it ends at the edges, or is left out.
        letters: Most letters of words in a line of text.
    """
    out = etree.Element("score-partwise", {"version": "4.0"})
    everything = root.findall("part")
    kept = [everything[place] for place in parts]
    out.append(_part_list(root, [part.get("id", "") for part in kept], with_names=len(kept) > 1))
    beyond: list[tuple[Beyond, Beyond]] = []
    for at, part in enumerate(kept):
        speaks_for_others = at == 0 and len(kept) < max(2, len(everything))
        cut_part, over = _cut_part(
            part, measure, end_measure, letters, speaks_for_others=speaks_for_others, is_alone=len(kept) == 1
        )
        out.append(cut_part)
        beyond.append(over)
    if edges is not None:
        _break_lines(out.findall("part"), beyond, edges)
    for part in out.iterfind("part"):
        mend_spans(part)
        part_from_dynamics(part)
    _print_landmarks_once(out.findall("part"))
    return etree.tostring(out, encoding="utf-8", xml_declaration=True)


def _break_lines(
    parts: Sequence[etree._Element], beyond: Sequence[tuple[Beyond, Beyond]], edges: Edges
) -> None:
    """Put the bars that are never shown around the passage, where a part needs them, and break its lines."""
    needs_before = any(begun for begun, _ in beyond)
    needs_after = edges.has_end and any(ended for _, ended in beyond)
    for part, (begun, ended) in zip(parts, beyond, strict=True):
        for line in edges.lines[1:]:
            _break_before(part.find(f"measure[@id='m{line}']"), "new-system")
        opening = part.find("measure/attributes")
        if needs_before and opening is not None:
            bar = begun.bar(BEFORE, opening.findtext("divisions") or "1")
            for note in begun.tied:
                remind_of_accidental(note, opening)
            bar.insert(0, deepcopy(opening))
            for sign in list(opening):
                if sign.tag not in ("divisions", "time"):
                    opening.remove(sign)
            _break_before(part[0], "new-page")
            part.insert(0, bar)
        if needs_after:
            stated = [each.text for each in part.iter("divisions")]
            bar = ended.bar(AFTER, (stated[-1] if stated else None) or "1")
            _break_before(bar, "new-page")
            part.append(bar)


def _break_before(measure: etree._Element | None, kind: str) -> None:
    if measure is not None:
        measure.insert(0, etree.Element("print", {kind: "yes"}))


_LANDMARKS = frozenset({"metronome", "rehearsal", "segno", "coda"})
_LANDMARK_SOUNDS = ("tempo", "dacapo", "dalsegno", "segno", "coda", "tocoda", "fine")


def _print_landmarks_once(parts: Sequence[etree._Element]) -> None:
    """A tempo, letter or sign that a file repeats on every staff of a bar stays on the highest of them alone.

    Its words alone, which a file may have a second time for the eye, are not printed again in that bar.
    The same at two places of one staff is kept.
    """
    for column in zip(*parts, strict=False):
        printed: dict[str, tuple[int, str]] = {}
        words: set[str] = set()
        for at, measure in enumerate(column):
            here: set[str] = set()
            for element in list(measure):
                if element.tag in _TIMED:
                    here.clear()
                text = _landmark(element) if element.tag == "direction" else ""
                if not text and _only_words(element) in words:
                    measure.remove(element)
                    continue
                words.update(_words_of(element) if text else ())
                staff = (at, element.findtext("staff") or "1")
                if text and (text in here or printed.setdefault(text, staff) != staff):
                    measure.remove(element)
                here.add(text)


def _landmark(direction: etree._Element) -> str:
    """What a direction prints that holds for all; empty where it is none, or holds something else as well."""
    kinds = [kind for each in direction.iterfind("direction-type") for kind in each]
    sound = direction.find("sound")
    holds_for_all = any(kind.tag in _LANDMARKS for kind in kinds) or (
        sound is not None and any(sound.get(name) for name in _LANDMARK_SOUNDS)
    )
    if not holds_for_all or any(kind.tag != "words" and kind.tag not in _LANDMARKS for kind in kinds):
        return ""
    return " ".join(f"{kind.tag} {_plain(kind)}" for kind in kinds).casefold()


def _words_of(direction: etree._Element) -> set[str]:
    return {_plain(words).casefold() for words in direction.iterfind("direction-type/words")}


def _only_words(element: etree._Element) -> str:
    """What a direction of words alone says; a stroke for anything else."""
    kinds = [kind.tag for each in element.iterfind("direction-type") for kind in each]
    is_words = element.tag == "direction" and kinds == ["words"]
    return next(iter(_words_of(element))) if is_words else "-"


def _plain(element: etree._Element) -> str:
    return " ".join(" ".join(str(text) for text in element.itertext()).split())


def _part_list(root: etree._Element, ids: list[str], *, with_names: bool) -> etree._Element:
    out = etree.Element("part-list")
    listed = root.find("part-list")
    open_groups: set[str] = set()
    for element in listed if listed is not None else ():
        if element.tag == "score-part" and element.get("id") in ids:
            slim = etree.SubElement(out, "score-part", {"id": element.get("id", "")})
            for tag in ("part-name", "part-abbreviation"):
                name = etree.SubElement(slim, tag)
                name.text = (element.findtext(tag) or "") if with_names else ""
        elif element.tag == "part-group" and with_names:
            number, starts = element.get("number", "1"), element.get("type") == "start"
            if starts or number in open_groups:
                open_groups.symmetric_difference_update({number})
                out.append(deepcopy(element))
    return out


def _cut_part(
    part: etree._Element, measure: int, end_measure: int, letters: int, *, speaks_for_others: bool,
    is_alone: bool,
) -> tuple[etree._Element, tuple[Beyond, Beyond]]:  # fmt: skip
    """The bars of a part, and what goes over their edges."""
    measures = part.findall("measure")
    state = _State()
    for before in measures[:measure]:
        state.pass_over(before)
    out = etree.Element("part", {"id": part.get("id", "")})
    running = deepcopy(state)
    for position, source in enumerate(measures[measure : end_measure + 1], start=measure):
        copy = deepcopy(source)
        copy.set("id", f"m{position}")
        if not speaks_for_others:
            for element in copy.findall("direction[@system='also-top']"):
                copy.remove(element)
        running.pass_over(source)
        write_short_rests(copy, running.divisions, running.full_bar)
        bring_to_one_style(copy, letters, is_alone=is_alone)
        _settle_words(copy)
        out.append(copy)
    if not len(out):
        return out, (Beyond(), Beyond())
    _open(out[0], state)
    bring_to_one_style(out[0], letters, is_alone=is_alone)
    _bracket_ending(out, state.ending, running.ending)
    near = measures[max(0, measure - FAR) : measure], measures[end_measure + 1 : end_measure + 1 + FAR]
    close_strays(list(out), near[1])
    return out, beyond_edges(near[0], list(out), near[1])


def _bracket_ending(
    part: etree._Element, begun: etree._Element | None, unended: etree._Element | None
) -> None:
    """Let an ending begun before a passage begin in it anew, and one that goes on stay open at its end."""
    if begun is not None and part[0].find("barline/ending[@type='start']") is None:
        line = etree.Element("barline", {"location": "left"})
        etree.SubElement(line, "ending", attributes_of(begun)).text = begun.text
        part[0].insert(1, line)
    if unended is not None:
        found = part[-1].find("barline[@location='right']")
        line = etree.SubElement(part[-1], "barline", {"location": "right"}) if found is None else found
        ending = etree.Element("ending", {"number": unended.get("number", "1"), "type": "discontinue"})
        line.insert(1 if line.find("bar-style") is not None else 0, ending)


_NEAR_STAFF, _ON_THIS_STAFF = 100, 400
"""Tenths of a staff space above or below the staff up to which words stand where the file says, and up to
which they belong to its bar at all. Source: house choices; staves lie some 100 tenths apart."""


def _settle_words(measure: etree._Element) -> None:
    """Words that a file sets far from the staff come beside it; those that lie elsewhere on its page go.

    Files read from pictures put text of the whole page into one bar.
    """
    for direction in measure.findall("direction"):
        heights = [_height(words) for words in direction.iterfind("direction-type/words")]
        if heights and min(heights) > _ON_THIS_STAFF:
            measure.remove(direction)
        elif heights and max(heights) > _NEAR_STAFF:
            for words in direction.iterfind("direction-type/words"):
                for name in ("default-x", "default-y", "relative-x", "relative-y"):
                    words.attrib.pop(name, "")


def _height(words: etree._Element) -> float:
    """How far above or below the staff words are set, in tenths of a staff space; 0 where nothing says it."""
    return abs(float(words.get("default-y", "0")))


class _State:
    """Attributes, octave lines and the ending in force after the measures passed over so far."""

    def __init__(self) -> None:
        self.attributes: dict[tuple[str, str], list[etree._Element]] = {}
        self.octave_lines: dict[str, etree._Element] = {}
        self.ending: etree._Element | None = None

    def pass_over(self, measure: etree._Element) -> None:
        for element in measure:
            if element.tag == "attributes":
                self.take(element)
            elif element.tag == "barline":
                for ending in element.iterfind("ending"):
                    self.ending = ending if ending.get("type") == "start" else None
            elif element.tag == "direction":
                for shift in element.iterfind("direction-type/octave-shift"):
                    if shift.get("type") in ("up", "down"):
                        self.octave_lines[shift.get("number", "1")] = element
                    elif shift.get("type") == "stop":
                        self.octave_lines.pop(shift.get("number", "1"), None)

    def take(self, attributes: etree._Element) -> None:
        fresh: dict[tuple[str, str], list[etree._Element]] = {}
        for element in attributes:
            if element.tag in _ATTRIBUTE_ORDER:
                fresh.setdefault((str(element.tag), element.get("number", "")), []).append(element)
        for (tag, number), elements in fresh.items():
            if not number:
                for key in [key for key in self.attributes if key[0] == tag]:
                    del self.attributes[key]
            self.attributes[tag, number] = elements

    @property
    def divisions(self) -> int:
        """Of a quarter; 1 where nothing is stated."""
        stated = self.attributes.get(("divisions", ""), [])
        return int(float(stated[-1].text or 1)) or 1 if stated else 1

    @property
    def full_bar(self) -> Fraction:
        """Quarters of a bar; 0 where no meter is in force."""
        times = self.attributes.get(("time", ""), [])
        counted = Fraction(0)
        for time in times[-1:]:
            for beats, unit in zip(time.iterfind("beats"), time.iterfind("beat-type"), strict=False):
                counted += sum(int(float(each)) for each in (beats.text or "0").split("+")) * Fraction(
                    4, int(float(unit.text or 4))
                )
        return counted

    def as_attributes(self) -> etree._Element:
        out = etree.Element("attributes")
        order = sorted(self.attributes, key=lambda key: (_ATTRIBUTE_ORDER.index(key[0]), key[1]))
        for key in order:
            for element in self.attributes[key]:
                copy = deepcopy(element)
                copy.attrib.pop("print-object", "")
                if copy.tag == "key":
                    for cancel in copy.findall("cancel"):
                        copy.remove(cancel)
                out.append(copy)
        return out


def _open(first: etree._Element, state: _State) -> None:
    """Put what is in force at the head of the first measure, its own opening attributes merged in."""
    for element in list(first):
        if element.tag in _TIMED:
            break
        if element.tag == "attributes":
            state.take(element)
            first.remove(element)
    place = 0
    first.insert(place, state.as_attributes())
    for direction in state.octave_lines.values():
        place += 1
        first.insert(place, _only_spans(direction))


def _only_spans(direction: etree._Element) -> etree._Element:
    copy = deepcopy(direction)
    for kind in copy.findall("direction-type"):
        if kind.find("octave-shift") is None:
            copy.remove(kind)
    return copy
