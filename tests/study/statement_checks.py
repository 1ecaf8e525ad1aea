"""For each kind of sentence a mechanical check against the bare notes of the file."""

import re
from collections.abc import Callable, Iterator
from itertools import pairwise

from tests.study.bare_score import Bare, BarePart, BareScore

WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
TIMES = {"once": 1, "twice": 2}


def number(text: str) -> int:
    """``four`` or ``12`` as a number, also ``twice`` and ``four times``."""
    text = text.removesuffix(" times")
    return TIMES.get(text) or (WORDS.index(text) if text in WORDS else int(text))


def places(bare: BareScore, text: str) -> list[tuple[int, int]]:
    """``5, 7 and 9–12`` as first and last positions of bars."""
    found = []
    for each in re.split(r", | and ", re.sub(r"[Bb]ars? ", "", text)):
        first, _, last = each.partition("–")
        found.append((bare.numbers.index(first), bare.numbers.index(last or first)))
    return found


def named(part: BarePart, place: tuple[int, int], name: str) -> list[tuple[int, Bare]]:
    """Struck notes of a name in some bars, each with its bar."""
    return [
        (at, note)
        for at in range(place[0], place[1] + 1)
        for note in part.bars[at].struck
        if note.name == name.rstrip("♮")
    ]


def spot(bare: BareScore, part: BarePart, told: re.Match[str]) -> bool:
    [place] = places(bare, told[1])
    return all(_reason(bare, part, place, reason) for reason in told[2].split("; "))


def _reason(bare: BareScore, part: BarePart, place: tuple[int, int], reason: str) -> bool:
    within = re.search(r" in bar (\w+)$", reason)
    bar = bare.numbers.index(within[1]) if within else place[0]
    if leap := re.match(r"leap of .+ (up|down) from ([A-G][♯♭]*\d) to ([A-G][♯♭]*\d)", reason):
        names = [(at, f"{note.name}{note.octave}") for at, note in part.line(0, bar)]
        begin = part.bars[bar].start
        return any((p, q) == (leap[2], leap[3]) and at >= begin for (_, p), (at, q) in pairwise(names))
    if rest := re.match(r"entrance after (\d+) bars of rest", reason):
        quiet = part.bars[bar - int(rest[1]) : bar]
        return len(quiet) == int(rest[1]) and not any(each.sounding for each in quiet)
    if sudden := re.match(r"sudden (\w+) after (\w+)", reason):
        return sudden[1] in part.bars[bar].marks
    if reason.startswith("new signature"):
        return part.bars[bar].key_changes
    return True


Check = Callable[[BareScore, BarePart, re.Match[str]], bool | None]
OF_A_PART: tuple[tuple[str, str, Check], ...] = (("spots", r"(Bars? [\w–]+): (.+)\.$", spot),)
"""Topic, form of the sentence, and its check."""
OF_ONE_STAFF = ("accidentals", "spots")
"""Topics that are told staff by staff or voice by voice, which these checks do not tell apart."""


def verdicts_for_parts(bare: BareScore, statements) -> Iterator[tuple[str, str, bool | None]]:
    """Part, sentence and verdict of every statement about a part; None where nothing mechanical is known."""
    parts = {part.name: part for part in bare.parts}
    for said in statements:
        if said.part not in parts:
            continue
        verdict: bool | None = None
        if parts[said.part].staves > 1 and said.topic in OF_ONE_STAFF:
            continue
        for topic, form, check in OF_A_PART:
            told = re.match(form, said.sentence) if topic == said.topic else None
            if told:
                verdict = check(bare, parts[said.part], told)
                break
        yield said.part, said.sentence, verdict
