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
    """Whether the profile gives a part the tune in the bars of a fact: in all, or nearly all of a piece.

    To it, or to one that plays the same there.
    """
    there, bars, own = claimed(bare, profile), bars_of(fact, profile), bare_part(bare, profile, name)
    least = 1.0 if fact.places else 0.9

    def has_it(bar: int) -> bool:
        sound = bar_sound(own, bar)
        others = (bare_part(bare, profile, other) for other in there[bar] if other)
        return name in there[bar] or (
            sound is not None and any(bar_sound(each, bar) == sound for each in others)
        )

    return sum(map(has_it, bars)) >= least * len(bars)


def plays(part: BarePart, bars: list[int]) -> bool:
    """Whether a part sounds in at least half of some bars."""
    return 2 * sum(bool(part.bars[bar].sounding) for bar in bars) >= len(bars)


def strikes(part: BarePart, at: int) -> bool:
    """Whether a part strikes a note in a bar."""
    return bool(part.bars[at].struck or part.bars[at].hits)


def shapes(part: BarePart, place: Place, size: int) -> dict[tuple[tuple[Fraction, int], ...], list[Fraction]]:
    """Every figure of so many notes that goes to another one at least twice, by its rhythm and steps, with
    the times at which it begins."""
    line, found = part.line(*place), dict[tuple[tuple[Fraction, int], ...], list[Fraction]]()
    for at in range(len(line) - size + 1):
        window = line[at : at + size]
        moves = [
            (min(two[0] - one[0], Fraction(4)), two[1].diatonic - one[1].diatonic)
            for one, two in pairwise(window)
        ]
        if sum(step != 0 for _, step in moves) >= 2:
            found.setdefault(tuple(moves), []).append(window[0][0])
    return found


THEME, MOTIVE, NEAR_BARS = 6, 4, 4
"""Notes of a theme and of a motive that two parts may share, and how far apart it is heard as one (the
project's own choice, see ``planner/study/melody/certain.py``)."""


def is_imitated(bare: BareScore, leader: BarePart, place: Place) -> bool:
    """Whether another part that plays otherwise begins a theme of some bars at another time inside them."""
    own = shapes(leader, place, THEME)
    for other in bare.parts:
        if other is leader:
            continue
        for shape, times in shapes(other, place, THEME).items():
            for time in times:
                bar = next(at for at in range(place[1], place[0] - 1, -1) if other.bars[at].start <= time)
                is_same = bar_sound(other, bar) == bar_sound(leader, bar)
                if shape in own and time not in own[shape] and not is_same:
                    near = [one for one in own[shape] if abs(_bar_at(leader, one) - bar) <= NEAR_BARS]
                    if near:
                        return True
    return False


def _bar_at(part: BarePart, time: Fraction) -> int:
    return max(at for at, bar in enumerate(part.bars) if bar.start <= time)


def has_tune(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """The part has the claim and plays in every bar, another one plays beside it, and none imitates it."""
    part = bare_part(bare, profile, fact.part)
    others = [other for other in bare.parts if other is not part]
    is_everywhere = not fact.places
    return is_claimed(bare, profile, fact.part, fact) and (
        is_everywhere
        or (
            all(
                strikes(part, at) and any(strikes(other, at) for other in others)
                for at in bars_of(fact, profile)
            )
            and not any(is_imitated(bare, part, place) for place in fact.places)
        )
    )


def doubles_tune(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    part, [who] = bare_part(bare, profile, fact.part), fact.parts
    other, bars = bare_part(bare, profile, who), bars_of(fact, profile)
    octaves = sum(fact.each("octaves"))
    return (
        fact.part != who
        and is_claimed(bare, profile, who, fact)
        and all(
            bar_sound(part, at) is not None
            and bar_sound(part, at) == bar_sound(other, at)
            and (not octaves or lowest(part, at) - lowest(other, at) == 12 * octaves)
            for at in bars
        )
    )


def lowest(part: BarePart, at: int) -> int:
    """The lowest sounding MIDI number of a bar."""
    return min(note.midi for note in part.bars[at].sounding) + part.semitones[at]


def accompanies(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """The part plays in every bar, otherwise than the tune and no motive of it.

    Unpitched parts are not read by the bare reading: of them only the tune is checked.
    """
    part, [who] = bare_part(bare, profile, fact.part), fact.parts
    other, bars = bare_part(bare, profile, who), bars_of(fact, profile)
    if fact.part == who or not is_claimed(bare, profile, who, fact):
        return False
    if not any(bar.sounding for bar in part.bars):
        return True
    differs = all(
        bar_sound(part, bar) is None or bar_sound(part, bar) != bar_sound(other, bar) for bar in bars
    )
    shares = any(
        set(shapes(part, place, MOTIVE)) & set(shapes(other, place, MOTIVE))
        for place in fact.places
        if place[1] - place[0] <= NEAR_BARS
    )
    return all(strikes(part, at) for at in bars if fact.places) and differs and not shares


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
