"""Facts about the tune against the bare notes, and against the claim that they are made from.

Who has the tune is a judgment: whether it is right is measured against people
(``tests/benchmarks/melody.py``). What can be counted is checked here: that the part named plays there, that
who doubles plays the same and who accompanies does not, and that an answer is in the notes.
"""

from fractions import Fraction
from itertools import pairwise

from planner.core.fact import Fact, FactKind, Place
from planner.core.profile import PieceProfile
from tests.study.bare_score import BarePart, BareScore
from tests.study.fact_checks import bare_part
from tests.study.fact_checks_form import bar_sound

SEMITONES = {0: (-1, 0, 1), 1: (1, 2), 2: (3, 4), 3: (5, 6), 4: (6, 7, 8), 5: (8, 9), 6: (10, 11)}
"""How many semitones an interval of so many steps of the staff may have (common practice)."""


def bars_of(fact: Fact, profile: PieceProfile) -> list[int]:
    """Every bar of which a fact speaks: those of its places, or all."""
    places = fact.places or ((0, profile.measures - 1),)
    return [bar for first, last in places for bar in range(first, last + 1)]


def claimed(bare: BareScore, profile: PieceProfile) -> list[set[str]]:
    """The parts that the profile gives the tune at any time of each bar."""
    starts = [bar.start for bar in bare.parts[0].bars] + [
        bare.parts[0].bars[-1].start + bare.parts[0].bars[-1].length
    ]
    times = [(starts[span.measure] + Fraction(span.offset_quarters), span.part) for span in profile.melody]
    until = [*(time for time, _ in times[1:]), starts[-1]]
    return [
        {part for (begin, part), end in zip(times, until, strict=True) if begin < stop and end > start}
        for start, stop in pairwise(starts)
    ]


def is_claimed(bare: BareScore, profile: PieceProfile, name: str, fact: Fact) -> bool:
    """Whether the profile gives a part the tune in the bars of a fact: in all, or nearly all of a piece."""
    there, bars = claimed(bare, profile), bars_of(fact, profile)
    least = 1.0 if fact.places else 0.9
    return sum(name in there[bar] for bar in bars) >= least * len(bars)


def plays(part: BarePart, bars: list[int]) -> bool:
    """Whether a part sounds in at least half of some bars."""
    return 2 * sum(bool(part.bars[bar].sounding) for bar in bars) >= len(bars)


def has_tune(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    places = [fact] if not fact.places else [Fact(fact.kind, places=(place,)) for place in fact.places]
    part = bare_part(bare, profile, fact.part)
    return is_claimed(bare, profile, fact.part, fact) and all(
        plays(part, bars_of(each, profile)) for each in places
    )


def doubles_tune(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    part, [who] = bare_part(bare, profile, fact.part), fact.parts
    other = bare_part(bare, profile, who)
    return is_claimed(bare, profile, who, fact) and all(
        bar_sound(part, bar) is not None and bar_sound(part, bar) == bar_sound(other, bar)
        for bar in bars_of(fact, profile)
    )


def accompanies(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """Unpitched parts are not read by the bare reading: of them only the tune is checked."""
    part, [who] = bare_part(bare, profile, fact.part), fact.parts
    other, bars = bare_part(bare, profile, who), bars_of(fact, profile)
    if fact.part == who or not is_claimed(bare, profile, who, fact):
        return False
    if not any(bar.sounding for bar in part.bars):
        return True
    differs = all(
        bar_sound(part, bar) is None or bar_sound(part, bar) != bar_sound(other, bar) for bar in bars
    )
    return plays(part, bars) and differs


def answers(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """Whether so many notes of the other part come again, as high or low as is said, and later."""
    part, other = bare_part(bare, profile, fact.part), bare_part(bare, profile, fact.parts[0])
    own, of = fact.places
    notes, steps = int(fact.number("notes")), int(fact.number("steps"))
    return of < own and any(
        later > earlier and two == one and is_interval(high - low, steps)
        for earlier, low, one in figures(other, of, notes)
        for later, high, two in figures(part, own, notes)
    )


def figures(
    part: BarePart, place: Place, notes: int
) -> list[tuple[Fraction, int, list[tuple[Fraction, int]]]]:
    """Every stretch of so many notes in some bars: its time, sounding MIDI number, and its shape."""
    line = part.line(*place)
    windows = [line[at : at + notes] for at in range(len(line) - notes + 1)]
    return [
        (
            each[0][0],
            each[0][1].midi + part.semitones[place[0]],
            [(at - each[0][0], note.diatonic - each[0][1].diatonic) for at, note in each],
        )
        for each in windows
    ]


def is_interval(semitones: int, steps: int) -> bool:
    """Whether so many semitones can be so many steps of the staff."""
    octaves, rest = divmod(abs(steps), 7)
    return (semitones if steps >= 0 else -semitones) - 12 * octaves in SEMITONES[rest]


CHECKS = {
    FactKind.HAS_TUNE: has_tune,
    FactKind.DOUBLES_TUNE: doubles_tune,
    FactKind.ACCOMPANIES: accompanies,
    FactKind.ANSWERS: answers,
}
"""For each kind of fact about the tune its check."""
