"""Every statement of a sheet against the bare score: its kind, its check, whether counting can settle it."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from planner.core.fact import Fact, FactKind
from planner.core.profile import PieceProfile
from planner.services.sheets.player.sheet import sheet_lines
from planner.wording.study.sentences import sentence_of
from tests.study import (
    fact_checks_form,
    fact_checks_instrument,
    fact_checks_melody,
    fact_checks_page,
    fact_checks_player,
    fact_checks_roadmap,
    fact_checks_spots,
    fact_checks_time,
    fact_checks_tonal,
)
from tests.study.bare_score import BareScore
from tests.study.fact_checks import Check

CHECKS: Mapping[FactKind, Check] = {
    **fact_checks_form.CHECKS,
    **fact_checks_instrument.CHECKS,
    **fact_checks_melody.CHECKS,
    **fact_checks_page.CHECKS,
    **fact_checks_player.CHECKS,
    **fact_checks_roadmap.CHECKS,
    **fact_checks_spots.FACT_CHECKS,
    **fact_checks_time.CHECKS,
    **fact_checks_tonal.CHECKS,
}
"""For each kind of fact its check."""

JUDGED = frozenset({
    FactKind.SECTIONS, FactKind.PHRASES, FactKind.HOME_KEY, FactKind.AWAY_FROM_HOME, FactKind.CADENCE,
    FactKind.CHORD_MEMBER, FactKind.PEDAL_POINT, FactKind.READING_TEMPO, FactKind.BREATHS,
    FactKind.HAS_TUNE, FactKind.DOUBLES_TUNE, FactKind.ACCOMPANIES, FactKind.ANSWERS,
})  # fmt: skip
"""Kinds that need a musician's ear: a check, where there is one, only finds what contradicts the notes."""


@dataclass(frozen=True, slots=True)
class Stated:
    """One statement about a piece (``part`` empty) or a part, and the fact behind it.

    ``piece`` is the place of the piece among those of its file.
    """

    path: Path
    piece: int
    part: str
    fact: Fact
    kind: str
    sentence: str
    bars: str


def kind_of(fact: Fact, profile: PieceProfile) -> str:
    """The kind of a statement: of patterns and spots also which."""
    if fact.kind is FactKind.PATTERN:
        found = profile.part(fact.part).patterns[int(fact.number("pattern"))]
        shape = " moved" if found.kind == "repeat" and found.steps else ""
        return f"pattern: {found.kind}{shape}"
    if fact.kind is FactKind.SPOT:
        return f"spot: {fact.terms[0]}"
    return fact.kind.value


def as_stated(path: Path, piece: int, profile: PieceProfile, fact: Fact) -> Stated:
    numbers = profile.measure_numbers
    spans = ("–".join(dict.fromkeys(numbers[at] for at in place)) for place in fact.places)
    sentence = " ".join(sentence_of(fact, profile).split())
    return Stated(path, piece, fact.part, fact, kind_of(fact, profile), sentence, ", ".join(spans))


def on_sheets(path: Path, profile: PieceProfile, piece: int = 0) -> Iterator[Stated]:
    """Every statement on the sheets of a piece with each fact behind it, those for everyone once."""
    lines = (line for part in profile.parts for line in sheet_lines(profile, part))
    shown = ((line.text, fact) for line in lines for fact in line.facts)
    for text, fact in dict.fromkeys(shown):
        yield replace(as_stated(path, piece, profile, fact), sentence=" ".join(text.split()))


def every_statement(path: Path, profile: PieceProfile, piece: int = 0) -> Iterator[Stated]:
    """Everything the study states, on a sheet or not."""
    for fact in profile.facts:
        yield as_stated(path, piece, profile, fact)


def verdict(bare: BareScore, profile: PieceProfile, stated: Stated) -> bool | None:
    """Whether a statement is true of the bare score; None where nothing mechanical is known."""
    check = CHECKS.get(stated.fact.kind)
    return None if check is None else check(bare, profile, stated.fact)


def is_countable(stated: Stated) -> bool:
    """Whether counting on the page can settle it."""
    return stated.fact.kind not in JUDGED


_BAR = r"\d+\w*\b(?:–\d+\w*\b)?(?! more)"
_BARS = re.compile(rf"\bbars? ((?:X?{_BAR}(?:, and |, | and )?)+)(?: of the (\w+) numbering)?")
"""What is named after ``bar`` or ``bars``, and which numbering it is said to be of."""


def bars_named(sentence: str) -> list[tuple[str, str]]:
    """The bar numbers that a sentence names, each with the numbering it names; ``and 3 more`` is none.

    Example:
        >>> bars_named("bars 3–5 in bars 9 and 12 of the second numbering, bars X2, 1 and 6 more.")
        [('3', ''), ('5', ''), ('9', 'second'), ('12', 'second'), ('X2', ''), ('1', '')]
    """
    return [
        (number, numbering)
        for found, numbering in _BARS.findall(sentence)
        for number in re.findall(r"X?\d+\w*", found)
    ]


NUMBERINGS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")
"""As sentences name them; the page begins one wherever its numbers do not rise."""


def numberings(bare: BareScore) -> list[list[str]]:
    """The numbers that the page counts, cut where they begin again."""
    found: list[list[str]] = [[]]
    for number, page in zip(bare.numbers, bare.pages[0], strict=True):
        if page.is_implicit or not number.isdecimal():
            continue
        if found[-1] and int(number) <= int(found[-1][-1]):
            found.append([])
        found[-1].append(number)
    return found


def bars_to_find(bare: BareScore, stated: Stated) -> list[str]:
    """Bars that a statement names and that a reader cannot find: no page numbers one so, or two are."""
    if stated.fact.kind is FactKind.ARTICULATIONS:
        return []  # its counts stand between the bars
    found = numberings(bare)
    places = {"": [number for each in found for number in each], **dict(zip(NUMBERINGS, found, strict=False))}
    return [
        number
        for number, numbering in bars_named(stated.sentence)
        if places.get(numbering, []).count(number) != 1
    ]
