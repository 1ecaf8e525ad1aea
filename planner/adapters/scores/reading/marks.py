"""Roadmap marks: from barlines, signs, words and ``sound`` attributes, and how parts' marks become one list.

Source: MusicXML 4.0: ``sound`` attributes steer the order of play, signs and
words are what the page shows; ``repeat`` and ``ending`` stand on barlines.
"""

import re
from collections.abc import Sequence

from lxml import etree

from planner.adapters.scores.reading.draft import PartDraft, RawMark, fold, whole
from planner.adapters.scores.reading.printed_text import printed
from planner.adapters.scores.reading.printed_words import plain_words, roadmap_kind
from planner.core.score import MarkKind, RoadmapMark

MAX_TIMES = 99
_JUMPS: tuple[tuple[str, MarkKind], ...] = (
    ("dacapo", "da-capo"), ("dalsegno", "dal-segno"), ("tocoda", "to-coda"), ("fine", "fine"),
    ("segno", "segno"), ("coda", "coda"),
)  # fmt: skip
_NAMED = {"dal-segno", "to-coda", "segno", "coda"}
_PLACES: tuple[MarkKind, ...] = ("to-coda", "fine", "coda")
_BACK: tuple[MarkKind, ...] = ("da-capo", "dal-segno")
_ENDING_TEXT = re.compile(r"(?:[\d\s.,;:&+/–-]|and|und|et|to|bis|st|nd|rd|th|times?|x|mal|e|o|a)*")
"""All that stands in an ending's bracket when it names passes and nothing else."""
_SIGNS: tuple[tuple[MarkKind, MarkKind], ...] = (("segno", "dal-segno"), ("coda", "to-coda"))


def passes_in(text: str | None) -> tuple[int, ...]:
    """Pass numbers in an ending's or a jump's list.

    Example:
        >>> passes_in("1, 2"), passes_in("1.–3."), passes_in(" "), passes_in("2. & 3.")
        ((1, 2), (1, 2, 3), (), (2, 3))
    """
    found: list[int] = []
    for first, last in re.findall(r"(\d{1,3})(?:\.?\s*(?:[-–]|\bto\b|\bbis\b)\s*(\d{1,3}))?", text or ""):
        start, stop = int(first), int(last or first)
        if 0 < start <= stop <= MAX_TIMES:
            found.extend(range(start, stop + 1))
    return tuple(dict.fromkeys(found))


def direction_marks(
    direction: etree._Element | None, sound: etree._Element | None, text: str, measure: int
) -> list[RawMark]:
    """Marks of one direction (or a lone ``sound``): each kind once, its words and its tokens together."""
    text = plain_words(text)
    worded = roadmap_kind(text) if text else None
    kinds: dict[MarkKind, RawMark] = {}
    if sound is not None:
        _add_sound_marks(sound, text, worded, measure, kinds)
    if worded and not kinds:
        kinds[worded] = RawMark(worded, measure, on_barline=False, text=text)
    if direction is not None:
        for sign, jump in _SIGNS:
            if (
                sign not in kinds
                and jump not in kinds
                and direction.find(f"direction-type/{sign}") is not None
            ):
                kinds[sign] = RawMark(sign, measure, on_barline=False)
    return list(kinds.values())


def _add_sound_marks(
    sound: etree._Element, text: str, worded: MarkKind | None, measure: int, kinds: dict[MarkKind, RawMark]
) -> None:
    time_only = passes_in(sound.get("time-only"))
    for attribute, kind in _JUMPS:
        value = sound.get(attribute)
        if value is None or (attribute == "dacapo" and value != "yes"):
            continue
        name = fold(value) if kind in _NAMED else ""
        kind = _as_printed(kind, worded)
        kinds[kind] = RawMark(
            kind, measure, on_barline=False, name=name if kind in _NAMED else "",
            text=text if worded is not None else "", time_only=time_only,
        )  # fmt: skip
    if sound.get("forward-repeat") == "yes":
        kinds["repeat-start"] = RawMark("repeat-start", measure, on_barline=False, implied=True)


def _as_printed(kind: MarkKind, worded: MarkKind | None) -> MarkKind:
    """What a ``sound`` attribute means where the words beside it say something else: players read the words.

    Notation programs let the words of a jump be changed and keep its attribute, such as a "Fine" that
    is stored as ``tocoda``. The word "Coda" alone may stand over either end of the leap.
    """
    for group in (_PLACES, _BACK):
        if kind in group and worded in group and worded != "coda":
            return worded
    return kind


def read_barline(element: etree._Element, draft: PartDraft, measure: int) -> None:
    """Add a ``barline`` element's style, repeat, ending, fermata and signs to the draft."""
    location = element.get("location", "right")
    style = fold(element.findtext("bar-style"))
    if style and location == "right":
        draft.right_bars[measure] = style
    elif style and location != "left" and style not in ("none", "tick", "short", "dotted", "dashed"):
        draft.add_issue("bar-line-inside", measure)
    if element.find("fermata") is not None:
        draft.fermatas.add(max(0, measure - 1) if location == "left" else measure)
    ending = element.find("ending")
    if ending is not None:
        _read_ending(ending, draft, measure)
    repeat = element.find("repeat")
    if repeat is not None:
        _read_repeat(repeat, draft, measure)
    for sign in ("segno", "coda"):
        if element.get(sign) is not None or element.find(sign) is not None:
            kind: MarkKind = "segno" if sign == "segno" else "coda"
            draft.marks.append(RawMark(kind, measure, on_barline=True, name=fold(element.get(sign))))


def _read_ending(element: etree._Element, draft: PartDraft, measure: int) -> None:
    kind = element.get("type")
    text = printed(element.text)
    numbers = _ending_numbers(passes_in(element.get("number")), text)
    if kind == "start":
        draft.marks.append(RawMark("ending-start", measure, on_barline=True, numbers=numbers, text=text))
    elif kind in ("stop", "discontinue"):
        draft.marks.append(
            RawMark(
                "ending-stop", measure, on_barline=True, numbers=numbers, open_ended=kind == "discontinue"
            )
        )


def _ending_numbers(stated: tuple[int, ...], text: str) -> tuple[int, ...]:
    """The passes of an ending: as printed, unless that is less than the attribute says."""
    printed = passes_in(text) if _ENDING_TEXT.fullmatch(text.casefold()) else ()
    return stated if set(printed) <= set(stated) else printed


def _read_repeat(element: etree._Element, draft: PartDraft, measure: int) -> None:
    if element.get("direction") == "forward":
        draft.marks.append(RawMark("repeat-start", measure, on_barline=True))
    elif element.get("direction") == "backward":
        times = whole(element.get("times"))
        if times is None or not 1 <= times <= MAX_TIMES:
            times = 2
        draft.marks.append(
            RawMark(
                "repeat-end",
                measure,
                on_barline=True,
                times=times,
                after_jump=element.get("after-jump") == "yes",
            )
        )


def merge_marks(drafts: Sequence[PartDraft]) -> tuple[RoadmapMark, ...]:
    """One list of marks for the score.

    A mark on every page has part -1. A sign or jump word that the top part has also
    counts for all: scores print such system marks once, over the top staff (common
    practice; MusicXML 4.0 ``system="only-top"``). Barline marks are in every part, so
    one missing somewhere is kept as each part has it.
    """
    holders: dict[RawMark, list[int]] = {}
    for index, draft in enumerate(drafts):
        for mark in dict.fromkeys(draft.marks):
            holders.setdefault(mark, []).append(index)
    merged = []
    for mark, parts in holders.items():
        everywhere = len(parts) == len(drafts) or (not mark.on_barline and parts[0] == 0)
        merged += [_mark(mark, part) for part in ((-1,) if everywhere else parts)]
    order = ("repeat-start", "ending-start", "segno", "coda", "to-coda", "fine", "da-capo", "dal-segno")
    return tuple(
        sorted(
            merged, key=lambda m: (m.measure, order.index(m.kind) if m.kind in order else 9, m.part, m.name)
        )
    )


def _mark(raw: RawMark, part: int) -> RoadmapMark:
    return RoadmapMark(
        raw.kind, raw.measure, part, raw.name, raw.numbers, raw.times, raw.text, raw.time_only,
        raw.after_jump, raw.implied, raw.open_ended,
    )  # fmt: skip
