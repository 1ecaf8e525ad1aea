"""The notes of a part that its signature does not have: which, where, and in what key if it is sure."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from planner.core.altered import Altered, AlteredNote, AlteredPlace
from planner.core.fact import Place
from planner.core.key_notes import scale_of_key
from planner.core.profile import AccidentalKind, PartProfile, PieceProfile

MOST_KEYS = 2
"""Most keys that a sheet names beside the player's own. Source: house choice: the room of a sheet."""
MOST_IN_ALL = 4
"""Most different notes of a part that are named one by one; of more, its densest places are. Source: house
choice: what a player can keep in mind."""
FEW_BARS = 4
"""Most bars with such notes in which they are named one by one, however many. Source: house choice."""
MOST_AT_ONCE = 4
"""Most different notes of one place that has more than one bar. Source: house choice, as above."""
MOST_IN_A_BAR = 7
"""Most different notes of one bar that are named. Source: house choice."""
MOST_PLACES = 3
"""Densest places that a sheet names. Source: house choice: what fits its room."""
LONGEST_PLACE = 8
"""Most bars of such a place. Source: house choice: two phrases, which an eye takes in at one glance."""


def altered_of(
    profile: PieceProfile, part: PartProfile, written: Mapping[str, str], most: int = MOST_PLACES
) -> Altered:
    """The altered notes of a part as its sheet names them.

    Args:
        profile: The study.
        part: One of its parts.
        written: For each sounding key that is sure somewhere, the key as the part has it.
        most: Most of its densest places.
    """
    bars, back = _by_measure(part, AccidentalKind.FIRST), _by_measure(part, AccidentalKind.BACK)
    in_keys = tuple(_in_keys(profile, written, bars, back))[:MOST_KEYS]
    for place in in_keys:
        for first, last in place.places:
            bars = {at: names for at, names in bars.items() if not first <= at <= last}
    notes = _notes(bars, bars, back)
    if len(notes) <= MOST_IN_ALL or len(bars) <= FEW_BARS:
        return Altered(in_keys, notes)
    found = sorted(_dense(bars, back), key=lambda place: (-_density(place), place.places))[:most]
    return Altered(in_keys, densest=tuple(sorted(found, key=lambda place: place.places)))


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


def _in_keys(
    profile: PieceProfile, written: Mapping[str, str], bars: Bars, back: Bars
) -> Iterator[AlteredPlace]:
    """The stretches in one sure key, those of one key with the same altered notes together."""
    found: dict[tuple[str, frozenset[str]], list[Place]] = {}
    for each in profile.sure_keys:
        key = written[each.key]
        names = {name for at in range(each.measure, each.end_measure + 1) for name in bars.get(at, ())}
        if names and names <= scale_of_key(key):
            found.setdefault((key, frozenset(names)), []).append((each.measure, each.end_measure))
    for (key, _), places in found.items():
        inside = [at for first, last in places for at in range(first, last + 1)]
        yield AlteredPlace(tuple(places), _notes(inside, bars, back), key)


def _dense(bars: Bars, back: Bars) -> Iterator[AlteredPlace]:
    """Places of neighboring bars with few enough different notes to be named."""
    run: list[int] = []
    for at in [*bars, None]:
        together = [*run, *([at] if at is not None else [])]
        names = {name for each in together for name in bars[each]}
        is_near = at is not None and (not run or at - run[-1] <= 2)
        if (
            at is not None
            and is_near
            and (len(together) == 1 or (len(names) <= MOST_AT_ONCE and at - together[0] < LONGEST_PLACE))
        ):
            run = together
            continue
        place = _place(run, bars, back)
        if place is not None:
            yield place
        run = [at] if at is not None else []


def _place(run: Sequence[int], bars: Bars, back: Bars) -> AlteredPlace | None:
    notes = _notes(run, bars, back)
    place = AlteredPlace(((run[0], run[-1]),), notes) if run else None
    return place if len(notes) <= MOST_IN_A_BAR else None


def _density(place: AlteredPlace) -> int:
    """Altered notes of a place, each counted once a bar."""
    return sum(len(note.measures) for note in place.notes)
