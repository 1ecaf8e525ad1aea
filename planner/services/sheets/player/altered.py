"""The notes of a part that its signature does not have: which, where, and in what key if it is sure."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from planner.core.altered import AlteredNote, AlteredPlace
from planner.core.fact import Place
from planner.core.key_notes import scale_of_key
from planner.core.profile import AccidentalKind, PartProfile, PieceProfile

MOST_IN_ALL = 4
"""Most different notes of a part that are named one by one; of more, its densest places are. Source: house
choice: what a player can keep in mind."""
FEW_BARS = 4
"""Most bars with such notes in which they are named one by one, however many. Source: house choice."""
MOST_AT_ONCE = 4
"""Most different notes of one place that has more than one bar. Source: house choice, as above."""
MOST_IN_A_BAR = 5
"""Most different notes of one bar that are named. Source: house choice."""
NEAR = 2
"""Most bars from one bar of such a place to the next: one bar without may lie between. House choice."""
MOST_ALIKE = 3
"""Most places with the same notes that are named together. House choice."""
LONGEST_PLACE = 8
"""Most bars of such a place. Source: house choice: two phrases, which an eye takes in at one glance."""


def few_altered(part: PartProfile) -> tuple[AlteredNote, ...]:
    """Every altered note of a part with all its bars; empty where they are too many to be named so."""
    bars = _by_measure(part, AccidentalKind.FIRST)
    notes = _notes(bars, bars, _by_measure(part, AccidentalKind.BACK))
    return notes if len(notes) <= MOST_IN_ALL or len(bars) <= FEW_BARS else ()


def in_sure_keys(
    profile: PieceProfile, part: PartProfile, written: Mapping[str, str]
) -> tuple[AlteredPlace, ...]:
    """The stretches in one sure key in which a part has altered notes, those of a key and its notes together.

    Args:
        profile: The study.
        part: One of its parts.
        written: For each sounding key that is sure somewhere, the key as the part has it.
    """
    bars, back = _by_measure(part, AccidentalKind.FIRST), _by_measure(part, AccidentalKind.BACK)
    found: dict[tuple[str, frozenset[str]], list[Place]] = {}
    for each in profile.sure_keys:
        key = written[each.key]
        names = {name for at in range(each.measure, each.end_measure + 1) for name in bars.get(at, ())}
        if names and names <= scale_of_key(key):
            found.setdefault((key, frozenset(names)), []).append((each.measure, each.end_measure))
    return tuple(
        AlteredPlace(tuple(places), _notes(sorted(_inside(places)), bars, back), key)
        for (key, _), places in found.items()
    )


def densest_places(part: PartProfile, besides: Sequence[AlteredPlace] = ()) -> tuple[AlteredPlace, ...]:
    """Places of a part with altered notes, the densest first, outside those of ``besides``.

    Places with the same notes are one.
    """
    named = {at for place in besides for at in _inside(place.places)}
    bars = {at: names for at, names in _by_measure(part, AccidentalKind.FIRST).items() if at not in named}
    back = _by_measure(part, AccidentalKind.BACK)
    alike: dict[frozenset[str], list[Place]] = {}
    for first, last in _dense(bars, named):
        names = frozenset(name for at in range(first, last + 1) for name in bars.get(at, ()))
        places = alike.setdefault(names, [])
        if places and places[-1][1] == first - 1:
            first = places.pop()[0]
        places.append((first, last))
    found = [
        AlteredPlace(tuple(places[:MOST_ALIKE]), _notes(sorted(_inside(places[:MOST_ALIKE])), bars, back))
        for places in alike.values()
    ]
    return tuple(sorted(found, key=lambda place: (-_density(place), place.places)))


def is_covered(notes: Sequence[AlteredNote], places: Sequence[AlteredPlace]) -> bool:
    """Whether every bar of some notes lies in some places."""
    named = {at for place in places for at in _inside(place.places)}
    return all(at in named for note in notes for at in note.measures)


def _inside(places: Sequence[Place]) -> set[int]:
    return {at for first, last in places for at in range(first, last + 1)}


Bars = Mapping[int, Sequence[str]]
"""For each measure the notes of some kind in it."""


def _by_measure(part: PartProfile, kind: AccidentalKind) -> dict[int, list[str]]:
    found: dict[int, list[str]] = {}
    for use in part.accidentals:
        if use.kind is kind:
            for at in use.measures or (use.measure,):
                found.setdefault(at, []).append(use.pitch)
    return dict(sorted(found.items()))


def _notes(measures: Iterable[int], bars: Bars, back: Bars) -> tuple[AlteredNote, ...]:
    """Each altered note of some measures, in order of appearance."""
    found: dict[str, list[int]] = {}
    for at in measures:
        for name in bars.get(at, ()):
            found.setdefault(name, []).append(at)
    return tuple(_note(name, where, back) for name, where in found.items())


def _note(name: str, measures: Sequence[int], back: Bars) -> AlteredNote:
    again = {at: usual for at in measures for usual in back.get(at, ()) if usual[0] == name[0]}
    return AlteredNote(name, tuple(measures), tuple(again), next(iter(again.values()), ""))


def _dense(bars: Bars, named: set[int]) -> Iterator[Place]:
    """Places of neighboring bars, none of them named already, with few enough notes to be named."""
    run: list[int] = []
    for at in (*bars, None):
        if run and (at is None or not _goes_on(run, at, bars, named)):
            if len(_names(run, bars)) <= MOST_IN_A_BAR:
                yield run[0], run[-1]
            run = []
        run += [] if at is None else [at]


def _names(run: Sequence[int], bars: Bars) -> set[str]:
    return {name for at in run for name in bars[at]}


def _goes_on(run: Sequence[int], at: int, bars: Bars, named: set[int]) -> bool:
    """Whether a place may go on to a bar; one bar between may be without altered notes."""
    is_near = at - run[-1] <= NEAR and not named.intersection(range(run[-1], at))
    return is_near and len(_names((*run, at), bars)) <= MOST_AT_ONCE and at - run[0] < LONGEST_PLACE


def _density(place: AlteredPlace) -> int:
    """Altered notes of a place, each counted once a bar."""
    return sum(len(note.measures) for note in place.notes)
