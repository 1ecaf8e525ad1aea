"""What the head of a file says: titles, creators, rights, and the list of parts."""

from collections.abc import Iterator
from dataclasses import dataclass

from lxml import etree

from planner.adapters.scores.reading.draft import decimal, fold, whole
from planner.adapters.scores.reading.printed_text import printed
from planner.core.score import Creator
from planner.core.text import cut_short

MOST_LETTERS, MOST_LETTERS_OF_NAME = 500, 120
"""Letters of a title, a creator or rights, and of the name of a part; the rest is cut off.

Source: house choices, as much as the catalog takes when it is typed.
"""
_ROLES_IN_CREDITS = ("composer", "arranger", "lyricist")


@dataclass(frozen=True, slots=True)
class Heading:
    """Titles, creators and rights as printed; empty where the file gives none."""

    title: str
    subtitle: str
    creators: tuple[Creator, ...]
    rights: str
    is_concert_score: bool


@dataclass(frozen=True, slots=True)
class ListedPart:
    """One entry of the part list.

    Attributes:
        id: Identity in the file.
        name, abbreviation: As printed, folded; never empty name.
        sound: Instrument sound of the first instrument.
        midi_program: 1-128, or None.
        instruments: Id to name of each instrument of the part.
        group: Name of the innermost named bracket group, or empty.
        is_named: False when the name had to be made up.
    """

    id: str
    name: str
    abbreviation: str
    sound: str
    midi_program: int | None
    instruments: tuple[tuple[str, str], ...]
    group: str
    is_named: bool


def read_heading(root: etree._Element) -> Heading:
    """Titles, creators and rights of a score."""
    work = printed(root.findtext("work/work-title"))
    movement = printed(root.findtext("movement-title"))
    credited = dict(_credits(root))
    title = _named(work, movement) or credited.get("title", "") or _largest_credit(root)
    subtitle = credited.get("subtitle", "")
    creators = [
        Creator(_bounded(fold(c.get("type")) or "composer"), _bounded(printed(c.text)))
        for c in root.iterfind("identification/creator")
        if printed(c.text)
    ]
    roles = {creator.role for creator in creators}
    creators += [
        Creator(role, _bounded(credited[role]))
        for role in _ROLES_IN_CREDITS
        if role in credited and role not in roles
    ]
    rights = " ".join(
        dict.fromkeys(printed(r.text) for r in root.iterfind("identification/rights") if printed(r.text))
    )
    concert = root.find("defaults/concert-score") is not None
    return Heading(
        _bounded(title), _bounded(subtitle), tuple(dict.fromkeys(creators)),
        _bounded(rights or credited.get("rights", "")), concert,
    )  # fmt: skip


def _bounded(text: str, most: int = MOST_LETTERS) -> str:
    return cut_short(text, most)


def _credits(root: etree._Element) -> Iterator[tuple[str, str]]:
    """Kind and text of each typed credit; the last of a kind that is met first wins."""
    for credit in reversed(root.findall("credit")):
        text = printed(" ".join(words.text or "" for words in credit.findall("credit-words")))
        for kind in credit.findall("credit-type"):
            if text and fold(kind.text):
                yield fold(kind.text).lower(), text


def _named(work: str, movement: str) -> str:
    """The work and which movement of it, each said once.

    Example:
        >>> _named("Garden Songs", "The Gate"), _named("The Gate", "The Gate"), _named("", "The Gate")
        ('Garden Songs: The Gate', 'The Gate', 'The Gate')
    """
    if not work or not movement or movement.casefold() in work.casefold():
        return work or movement
    return movement if work.casefold() in movement.casefold() else f"{work}: {movement}"


def _largest_credit(root: etree._Element) -> str:
    """Text of the largest words on the first page: what a reader takes for the title."""
    best, size = "", 0.0
    for credit in root.findall("credit"):
        if credit.get("page", "1") != "1":
            continue
        for words in credit.findall("credit-words"):
            points = decimal(words.get("font-size"))
            if points is not None and float(points) > size and printed(words.text):
                best, size = printed(words.text), float(points)
    return best


def read_part_list(root: etree._Element) -> list[ListedPart]:
    """The parts in the order of the list, with the bracket group each stands in."""
    listed: list[ListedPart] = []
    open_groups: dict[str, str] = {}
    for element in root.iterfind("part-list/*"):
        if element.tag == "part-group":
            number = element.get("number", "1")
            if element.get("type") == "start":
                open_groups[number] = printed(element.findtext("group-name"))
            else:
                open_groups.pop(number, None)
        elif element.tag == "score-part":
            group = next((name for name in reversed(open_groups.values()) if name), "")
            listed.append(_listed_part(element, group, len(listed) + 1))
    return listed


def _listed_part(element: etree._Element, group: str, position: int) -> ListedPart:
    instruments = tuple(
        (i.get("id", ""), printed(i.findtext("instrument-name"))) for i in element.findall("score-instrument")
    )
    display = printed(" ".join(t.text or "" for t in element.iterfind("part-name-display/display-text")))
    abbreviation = printed(element.findtext("part-abbreviation"))
    first_instrument = instruments[0][1] if instruments else ""
    name = printed(element.findtext("part-name")) or display or first_instrument or abbreviation
    program = whole(element.findtext("midi-instrument/midi-program"))
    return ListedPart(
        id=element.get("id", ""),
        name=_bounded(name, MOST_LETTERS_OF_NAME) or f"Part {position}",
        abbreviation=_bounded(abbreviation, MOST_LETTERS_OF_NAME),
        sound=fold(element.findtext("score-instrument/instrument-sound")),
        midi_program=program if program is not None and 1 <= program <= 128 else None,
        instruments=instruments,
        group=_bounded(group, MOST_LETTERS_OF_NAME),
        is_named=bool(name),
    )
