"""Who has the tune, where, and what each part should know of it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import MelodySpan
from planner.study.form.doublings import BarContents, bar_contents, octaves_above, same_bars
from planner.study.melody.answers import Answer, find_answers
from planner.study.melody.certain import Passage, beyond_doubt, runs, takes_part, theme_elsewhere
from planner.study.melody.claims import Claims, claim_tune, sings
from planner.study.notes.arrays import distinct, is_among
from planner.study.notes.columns import TICKS_PER_QUARTER, Bools, Columns, Ints, PartColumns

SURE = 0.7
"""Mean chance of the tune in a passage from which it is a fact.

Between the analysed movements, passages so sure have the analysts' part, or one that doubles it, in 87 of
100 bars (``tests/benchmarks/melody.py``).
"""
LIKELY = 0.5
"""Mean chance of the tune in three bars from which the middle one is in a passage (house choice)."""
LEAST_PASSAGE, LEAST_ACCOMPANIED = 2, 4
"""Fewest bars of a passage of the tune, and of one that is a fact or accompanied (house choice: a phrase)."""
LONGEST_VAMP = 2
"""Most bars of a figure that the bass repeats until a tune comes in (house choice)."""
LEAST_DOUBLED = 6
"""Fewest notes of a tune that is doubled (house choice: fewer is a chance meeting)."""
MOST_PLACES = 4
"""Most places of a fact, the longest ones (house choice: what can be marked in the study time)."""
MOST_WITH, MOST_ANSWERS = 2, 2
"""Most parts that are spoken of as doubled, or accompanied, and most answers (house choice)."""
ELSEWHERE = 0.15
"""Mean chance of the tune in a passage up to which a part is taken to accompany (house choice)."""
MOST_SHARED = 0.5
"""Share of its notes that an accompanying part may have in common with the tune (house choice)."""
THROUGHOUT = 0.95
"""Share of the bars with a tune from which it is one part's throughout (house choice)."""


@dataclass(frozen=True, slots=True)
class MelodyStudy:
    """Who has the tune from where on, and the facts a reader may want of it."""

    spans: tuple[MelodySpan, ...] = ()
    facts: tuple[Fact, ...] = ()


def find_melody(columns: Columns) -> MelodyStudy:
    """Who has the tune.

    Example:
        >>> from planner.core.score import Score
        >>> from planner.study.notes.columns import columns_of
        >>> find_melody(columns_of(Score("Empty", (), ()))).spans
        ()
    """
    return melody_of(columns, claim_tune(columns))


def melody_of(columns: Columns, claims: Claims) -> MelodyStudy:
    """What follows from a claim of who has the tune."""
    spans = tuple(_spans(columns, claims))
    if sum(1 for part in columns.parts if part.struck.any()) < 2:
        return MelodyStudy(spans)  # who is alone has nobody to listen to
    contents = bar_contents(columns)
    likely = [each for each in sure_passages(claims) if not _is_vamp(contents, each)]
    singers = [part.index for part in columns.parts if sings(part)]
    sung = set(singers if len(singers) == 1 else ())
    passages = [
        each for each in beyond_doubt(columns, claims, likely, LEAST_ACCOMPANIED) if each.part not in sung
    ]
    known = int(np.count_nonzero(claims.part >= 0))
    throughout = {
        part
        for part in {each.part for each in passages}
        if sum(each.bars for each in passages if each.part == part) >= THROUGHOUT * known
    }
    facts = [
        *_tunes(columns, passages, throughout),
        *_doublings(columns, claims, likely),
        *_accompaniments(columns, claims, passages, throughout),
        *_answers(columns, claims),
    ]
    return MelodyStudy(spans, tuple(facts))


def _spans(columns: Columns, claims: Claims) -> Iterator[MelodySpan]:
    """The claims one after another; one begins with its upbeat, or with its first note after a rest."""
    before, last = None, (-1, 0)
    for bar, part in enumerate(claims.part.tolist()):
        if part == before:
            continue
        before = part
        place = _beginning(columns, columns.parts[part], bar) if part >= 0 else (bar, 0)
        last = place if place > last else (bar, 0)  # no upbeat reaches back over a claim of one bar
        name = columns.parts[part].part.name if part >= 0 else ""
        yield MelodySpan(last[0], last[1] / TICKS_PER_QUARTER, name)


def _beginning(columns: Columns, part: PartColumns, bar: int) -> tuple[int, int]:
    """Measure, and ticks from its start, at which a part begins what it plays in a bar.

    Notes that lead into the bar without a rest, from the middle of the bar before at the earliest, are its
    upbeat.
    """
    line, start = part.line, int(columns.measure_start[bar])
    at = int(np.searchsorted(line.onset, start))
    if at and int(line.end[at - 1]) > start:
        at -= 1  # it sounds across the bar line
    if at >= len(line) or int(line.onset[at]) > start:
        late = int(line.onset[at]) - start if at < len(line) else 0
        return bar, late if 0 < late < int(columns.measure_length[bar]) else 0
    while at and line.end[at - 1] == line.onset[at]:
        at -= 1
        if bar and int(line.onset[at]) < start - int(columns.measure_length[bar - 1]) // 2:
            return bar, 0
    lead = start - int(line.onset[at])
    if not bar or lead <= 0 or lead > int(columns.measure_length[bar - 1]) // 2:
        return bar, 0
    return bar - 1, int(columns.measure_length[bar - 1]) - lead


def sure_passages(claims: Claims) -> list[Passage]:
    """Stretches claimed for one part in which that is sure enough to be said.

    Within a stretch of one claim, bars are left out around which the claim is no likelier than not.
    """
    chance = np.concatenate([claims.chance[:1], claims.chance, claims.chance[-1:]])
    held = np.where(chance[:-2] + chance[1:-1] + chance[2:] >= 3 * LIKELY, claims.part, -1)
    edges = np.flatnonzero(np.diff(held)) + 1
    found = []
    for stretch in np.split(np.arange(len(held)), edges):
        if len(stretch) >= LEAST_PASSAGE and held[stretch[0]] >= 0:
            mean = float(claims.chance[stretch].mean())
            if mean >= SURE:
                found.append(Passage(int(held[stretch[0]]), int(stretch[0]), int(stretch[-1]), mean))
    return found


def _is_vamp(contents: BarContents, passage: Passage) -> bool:
    """Whether a passage is the bass alone, over and over in one figure: it waits for a tune and is none."""
    bars = slice(passage.first, passage.last + 1)
    own = contents.notes[bars, passage.part]
    sizes = range(1, min(LONGEST_VAMP, len(own) // 2) + 1)
    if not any(bool(np.all(own[size:] == own[:-size])) for size in sizes):
        return False
    sounds = contents.notes[bars] != 0
    same = (contents.notes[bars] == own[:, None]) & sounds
    lowest = np.where(sounds, contents.lowest[bars], _ABOVE)
    return bool(np.all(np.where(same, lowest, _ABOVE).min(axis=1) <= lowest.min(axis=1)))


_ABOVE = np.iinfo(np.int64).max


def _fact(
    kind: FactKind, name: str, passages: Sequence[Passage], parts: tuple[str, ...], weight: float
) -> Fact:
    """A fact with the longest places of some passages, in order."""
    longest = sorted(passages, key=lambda each: (-each.bars, each.first))[:MOST_PLACES]
    places = tuple(sorted((each.first, each.last) for each in longest))
    bars = sum(each.bars for each in passages)
    certainty = sum(each.chance * each.bars for each in passages) / max(bars, 1)
    more = named(more=len(passages) - len(places)) if len(passages) > len(places) else ()
    return Fact(kind, name, places, parts, numbers=more, certainty=round(certainty, 2), weight=weight)


def _everywhere(kind: FactKind, name: str, parts: tuple[str, ...], certainty: float, weight: float) -> Fact:
    """A fact that holds throughout the piece."""
    return Fact(kind, name, parts=parts, terms=("throughout",), certainty=round(certainty, 2), weight=weight)


def _tunes(columns: Columns, passages: Sequence[Passage], throughout: set[int]) -> Iterator[Fact]:
    """Where each part has the tune."""
    for part in columns.parts:
        own = [each for each in passages if each.part == part.index]
        if part.index in throughout:
            sure = float(np.mean([each.chance for each in own]))
            yield _everywhere(FactKind.HAS_TUNE, part.part.name, (), sure, 0.9)
        elif own:
            yield _fact(FactKind.HAS_TUNE, part.part.name, own, (), 0.9)


def _doublings(columns: Columns, claims: Claims, passages: Sequence[Passage]) -> Iterator[Fact]:
    """Where each part plays the tune of another one, in unison or octaves, also where it comes again."""
    contents = bar_contents(columns)
    tunes = {leader: _tune_bars(columns, claims, passages, leader) for leader in {p.part for p in passages}}
    for part in columns.parts:
        found: dict[int, list[Passage]] = {}
        same = same_bars(contents, part.index, range(len(columns.parts)))
        for leader, bars in tunes.items():
            for first, last in runs(bars[same[bars, leader]]) if leader != part.index else ():
                notes = int(contents.struck[first : last + 1, part.index].sum())
                if last - first + 1 >= LEAST_PASSAGE and notes >= LEAST_DOUBLED:
                    chance = float(claims.chance[first : last + 1].mean())
                    found.setdefault(leader, []).append(Passage(leader, first, last, chance))
        for other, shared_with in _foremost(found):
            fact = _fact(FactKind.DOUBLES_TUNE, part.part.name, shared_with, _name(columns, other), 0.7)
            bars = np.concatenate([each.stretch for each in shared_with])
            octaves = octaves_above(contents, part.index, other, bars)
            yield replace(fact, numbers=(*fact.numbers, *named(octaves=octaves))) if octaves else fact


def _name(columns: Columns, part: int) -> tuple[str]:
    return (columns.parts[part].part.name,)


def _tune_bars(columns: Columns, claims: Claims, passages: Sequence[Passage], leader: int) -> Ints:
    """The bars of a part's passages, and those in which it plays the same again with whoever has the tune."""
    every = bar_contents(columns).notes
    notes = every[:, leader]
    own = np.concatenate([each.stretch for each in passages if each.part == leader])
    known = np.unique(notes[own])
    has_it = every[np.arange(len(notes)), claims.part] == notes
    again = has_it & (claims.part >= 0) & np.isin(notes, known[known != 0])
    again[own] = True
    return np.flatnonzero(again)


def _foremost(found: dict[int, list[Passage]]) -> list[tuple[int, list[Passage]]]:
    """Those parts with whom most bars are shared."""
    by_bars = sorted(found.items(), key=lambda item: (-sum(each.bars for each in item[1]), item[0]))
    return by_bars[:MOST_WITH]


def _accompaniments(
    columns: Columns, claims: Claims, passages: Sequence[Passage], throughout: set[int]
) -> Iterator[Fact]:
    """Whose tune each part accompanies, in the bars in which it plays and has nothing of the tune itself."""
    contents = bar_contents(columns)
    by_leader: dict[int, list[Passage]] = {}
    for each in passages:
        by_leader.setdefault(each.part, []).append(each)
    taking = {leader: takes_part(columns, leader, own) for leader, own in by_leader.items()}
    for part in columns.parts:
        plays = np.bincount(part.measure[part.struck], minlength=len(contents.notes)) > 0
        found: dict[int, list[Passage]] = {}
        for each in passages:
            free = plays & ~taking[each.part][:, part.index]
            found.setdefault(each.part, []).extend(_under(columns, claims, part, each, free))
        for other, under in _foremost({leader: own for leader, own in found.items() if own}):
            names = (columns.parts[other].part.name,)
            free = plays & ~taking[other][:, part.index]
            share = named(share=_share_led(columns, claims, part.index, other, plays, free))
            all_of_it = sum(each.bars for each in passages if each.part == other)
            if other in throughout and sum(each.bars for each in under) >= THROUGHOUT * all_of_it:
                sure = float(np.mean([each.chance for each in under]))
                fact = _everywhere(FactKind.ACCOMPANIES, part.part.name, names, sure, 0.5)
            else:
                fact = _fact(FactKind.ACCOMPANIES, part.part.name, under, names, 0.5)
            yield replace(fact, numbers=(*fact.numbers, *share))


def _share_led(columns: Columns, claims: Claims, own: int, leader: int, plays: Bools, free: Bools) -> float:
    """In which share of the bars that a part plays a leader likely has the tune, and the part does not."""
    contents = bar_contents(columns)
    bars = np.arange(len(plays))
    with_leader = same_bars(contents, leader, range(len(columns.parts)))
    leads = (claims.part == leader) | ((claims.part >= 0) & with_leader[bars, claims.part])
    led = leads & free & ~with_leader[:, own] & ~theme_elsewhere(columns, claims, leader)
    return round(float(led.sum()) / max(int(plays.sum()), 1), 2)


def _under(
    columns: Columns, claims: Claims, part: PartColumns, passage: Passage, free: Bools
) -> Iterator[Passage]:
    """The stretches of a passage in which a part is free of the tune, unlikely to have it and unlike it."""
    if part.index == passage.part:
        return
    same = same_bars(bar_contents(columns), passage.part, (part.index,))[:, 0]
    good = free & ~same & (claims.every[:, part.index] <= ELSEWHERE)
    for first, last in runs(passage.stretch[good[passage.stretch]]):
        under = Passage(passage.part, first, last, passage.chance)
        own, tune = (_struck(columns.parts[at], under) for at in (part.index, passage.part))
        alike = is_among(own, distinct(tune)).mean() if len(own) else 0.0
        if under.bars >= LEAST_ACCOMPANIED and alike <= MOST_SHARED:
            yield under


def _struck(part: PartColumns, passage: Passage) -> Ints:
    """Each note of a line in a passage: its onset and pitch class in one number."""
    line = part.line
    inside = slice(*np.searchsorted(line.measure, [passage.first, passage.last + 1]))
    return np.asarray(line.onset[inside] * 12 + np.rint(line.sounding[inside]).astype(np.int64) % 12)


def _answers(columns: Columns, claims: Claims) -> Iterator[Fact]:
    """The longest answers of each part."""
    found: dict[int, list[Answer]] = {}
    for answer in find_answers(columns, claims):
        found.setdefault(answer.part, []).append(answer)
    for part, answers in sorted(found.items()):
        longest = sorted(answers, key=lambda each: (-each.notes, each.first))[:MOST_ANSWERS]
        for each in sorted(longest, key=lambda each: each.first):
            yield Fact(
                FactKind.ANSWERS,
                columns.parts[part].part.name,
                ((each.first, each.last), each.of),
                (columns.parts[each.leader].part.name,),
                numbers=named(steps=each.steps, notes=each.notes),
                weight=0.6,
            )
