"""What a player's sheet says of keys and altered notes, read back from its words and counted in the bare XML.

Every note that the signature does not have is looked for in the bars that a sentence names, all of them and
no other; which of them the same bar takes back; of a named key whether anything in the score contradicts it.
"""

import re
from collections.abc import Iterator

from planner.services.sheets.player.line import Block
from tests.benchmarks.sheet_pool import PooledSheet
from tests.study.bare_score import SHARPS, Bare, BarePart, BareScore
from tests.study.fact_checks_tonal import heard, is_foreign, name_of, pitch_class, scale_of

_NOTE = r"[A-G](?:[♯♭♮]| double sharp| double flat)"
_BARS = r"bars? [\d–]+(?:(?:, | and )(?:bars? )?\d[\d–]*)*"
_BACK = rf"(?: \(back to (?P<usual>{_NOTE})(?: in (?P<back>{_BARS})| (?P<always>each time))?\))?"
_ITEM = re.compile(rf"(?P<name>{_NOTE}){_BACK}")
_ANY = re.sub(r"\?P<\w+>", "?:", _ITEM.pattern)
_PLACED = re.compile(
    rf"(?P<names>{_ANY}(?:(?:, | and ){_ANY})*)"
    rf" in (?:(?P<count>\d+) bars from bar (?P<first>\d+) on|(?P<bars>{_BARS}))"
)
_PLACE = re.compile(
    rf"(?P<where>{_BARS})(?: are in (?P<tonic>[A-G][♯♭]?) (?P<mode>major|minor))?: look for (?P<notes>.+)\.",
    re.IGNORECASE,
)
_WHOLE = "Not in the signature: "
_IN_WORDS = re.compile("numbering|pickup|upbeat|after|rest of")
"""Words for bars without a number of their own, which are not looked for."""
_SIGNED = re.compile(r"(?:Your key|Your signature|, ).*?(\d) (sharp|flat)s?: ([^.(]+?)(?= \(|\. |\.$)")

Checked = Iterator[tuple[str, bool | None]]


def accidentals(bare: BareScore, sheet: PooledSheet) -> Checked:
    """Each sentence about altered notes names all of the part there, and each with all its bars."""
    part = bare.parts[sheet.at]
    for line in sheet.lines:
        if line.block is not Block.KEY or not re.search(r"look for|Not in the signature", line.text):
            continue
        found = _PLACE.fullmatch(line.text)
        if _IN_WORDS.search(line.text):
            yield line.text, None
        elif line.text.startswith(_WHOLE):
            yield line.text, _is_whole(bare, part, line.text)
        else:
            yield line.text, found is not None and _is_place(bare, part, found)


def signature_notes(_bare: BareScore, sheet: PooledSheet) -> Checked:
    """The notes of a signature are the first of the sharps or flats in their printed order."""
    for line in sheet.lines:
        found = _SIGNED.search(line.text) if line.block is Block.KEY else None
        if found and line.text.startswith("Your "):
            count, sign = int(found[1]), "♯" if found[2] == "sharp" else "♭"
            letters = SHARPS[:count] if sign == "♯" else SHARPS[::-1][:count]
            if found[3].startswith("all but"):
                right = set(re.findall(r"\b[A-G]\b", found[3])) == set(SHARPS) - set(letters)
            else:
                named = re.findall(r"[A-G][♯♭]", found[3])
                right = named == [f"{letter}{sign}" for letter in letters] or found[3] == "every note"
            yield line.text, right


def bars_counted(bare: BareScore, sheet: PooledSheet) -> Checked:
    """The head counts every bar but a pickup and what the numbers pass over; a full bar 0 counts."""
    counted = sum(not page.is_implicit for page in bare.pages[0])
    yield f"{sheet.start.bars} bars", int(sheet.start.bars) == counted


def _places(bare: BareScore, text: str) -> list[int] | None:
    """The bars of some words; None where a number does not stand once."""
    found: list[int] = []
    for low, high in re.findall(r"(\d+)(?:–(\d+))?", text):
        if bare.numbers.count(low) != 1 or bare.numbers.count(high or low) != 1:
            return None
        found += range(bare.numbers.index(low), bare.numbers.index(high or low) + 1)
    return found


def _spelled(name: str) -> str:
    """``"F double sharp"`` as ``"F##"``."""
    signs = {"♯": "#", "♭": "b", "♮": "", " double sharp": "##", " double flat": "bb"}
    return name[0] + signs[name[1:]]


def _altered(part: BarePart, at: int) -> dict[str, bool]:
    """The notes of a bar that its signature does not have, each with whether the bar takes it back."""
    order = sorted(
        [*((note.onset, 0, n, note) for n, note in enumerate(part.bars[at].graces)),
         *((note.onset, 1, n, note) for n, note in enumerate(part.bars[at].struck))]
    )  # fmt: skip
    found: dict[str, bool] = {}
    last: dict[tuple[int, str, int], Bare] = {}
    for *_, note in order:
        place = (note.staff, note.step, note.octave)
        before = last.get(place)
        if is_foreign(part, at, note):
            found.setdefault(name_of(note), False)
        elif before is not None and is_foreign(part, at, before):
            for name in [name for name in found if name[0] == note.step]:
                found[name] = True
        last[place] = note
    return found


def _is_whole(bare: BareScore, part: BarePart, text: str) -> bool | None:
    """Whether a sentence names every altered note of the part with every bar, or how many there are."""
    every = [_altered(part, at) for at in range(len(part.bars))]
    named = [(where, note) for where in _PLACED.finditer(text) for note in _ITEM.finditer(where["names"])]
    if {_spelled(note["name"]) for _, note in named} != {name for bar in every for name in bar}:
        return False
    for where, note in named:
        played = [at for at, bar in enumerate(every) if _spelled(note["name"]) in bar]
        if where["count"]:
            right = len(played) == int(where["count"]) and bare.numbers[played[0]] == where["first"]
        else:
            places = _places(bare, where["bars"])
            if places is None:
                return None
            right = places == played and _is_back(bare, note, played, every)
        if not right:
            return False
    return True


def _is_back(bare: BareScore, each: re.Match[str], inside: list[int], every: list[dict[str, bool]]) -> bool:
    """Whether the bars that take an altered note back are those that are named."""
    name = _spelled(each["name"])
    taken = [at for at in inside if every[at].get(name)]
    if not each["usual"]:
        return not taken
    named = _places(bare, each["back"]) if each["back"] else [at for at in inside if name in every[at]]
    return named == taken and _spelled(each["usual"])[0] == name[0]


def _is_place(bare: BareScore, part: BarePart, found: re.Match[str]) -> bool | None:
    places = _places(bare, found["where"])
    if places is None:
        return None
    every = [_altered(part, at) for at in range(len(part.bars))]
    named = list(_ITEM.finditer(found["notes"]))
    names = {name for at in places for name in every[at]}
    is_complete = {_spelled(each["name"]) for each in named} == names
    is_back = all(_is_back(bare, each, places, every) for each in named)
    return is_complete and is_back and (not found["tonic"] or _is_in_key(bare, part, found, places))


def _is_in_key(bare: BareScore, part: BarePart, found: re.Match[str], places: list[int]) -> bool:
    """Whether nothing in the score contradicts a key, and its tonic sounds in each stretch's last bar."""
    tonic = found["tonic"].replace("♯", "#").replace("♭", "b")
    root, scale = scale_of(f"{tonic} {found['mode']}")
    shift = part.semitones[places[0]]
    sounding = {(each + shift) % 12 for each in scale}
    ends = [at for at in places if at + 1 not in places]
    return all(set(heard(bare, at, at)) <= sounding for at in places) and all(
        (pitch_class(tonic) + shift) % 12 in heard(bare, at, at) and root == pitch_class(tonic) for at in ends
    )
