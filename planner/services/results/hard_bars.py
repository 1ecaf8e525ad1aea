"""The hard bars of the parts that were read: offered where it is entered what went wrong."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.core.difficulty import FOCUSES, ChallengeKind
from planner.core.ensemble import Ensemble
from planner.core.fact import Place
from planner.core.profile import PartProfile, PieceProfile, Spot
from planner.errors import InputError
from planner.matching.casting import cast_parts
from planner.services.day.result_entry import ResultEntry
from planner.services.ports.work import UnitOfWork

MOST_HARD_BARS = 6
"""Hard places of a part that are offered. Source: house choice: more are not looked over in passing."""


@dataclass(frozen=True, slots=True)
class HardBar:
    """A hard place of a part.

    Attributes:
        place: Its first and last measure.
        kind: What makes it hard, the heaviest; None for a place that the study no longer names.
    """

    place: Place
    kind: ChallengeKind | None = None

    @property
    def skill(self) -> str:
        """The skill it asks for; empty where nobody knows."""
        return self.kind.skill.value if self.kind else ""


def hard_bars(profile: PieceProfile, ensemble: Ensemble) -> Mapping[int, tuple[HardBar, ...]]:
    """The hardest places of what each section reads, in the order of the page, by section."""
    return {
        section_id: tuple(
            _hard_bar(spot)
            for spot in sorted(_heaviest(part.spots), key=lambda each: (each.measure, _place(each)))
        )
        for section_id, part in _parts_read(profile, ensemble).items()
    }


def with_skills(
    work: UnitOfWork, ensemble: Ensemble, entries: Sequence[ResultEntry], stored: Mapping[int, ResultEntry]
) -> list[ResultEntry]:
    """Entries of one piece, with the skill of each hard place that is named for the first time.

    Raises:
        InputError: If a place does not lie in the piece.
    """
    new = {entry.section_id: _named_now(entry, stored.get(entry.section_id)) for entry in entries}
    if not any(new.values()):
        return list(entries)
    piece_id = entries[0].piece_id
    profile = work.pieces.profiles([piece_id])[piece_id]
    parts = _parts_read(profile, ensemble)
    names = {section.id: section.name for section in ensemble.sections}
    found = []
    for entry in entries:
        at = entry.section_id
        for place in new[at]:
            _check_place(place, profile, names[at], f"wrong-{at}")
        spots = {_place(spot): _hard_bar(spot) for spot in parts[at].spots} if at in parts else {}
        skills = {*entry.problems, *(spots[place].skill for place in new[at] if place in spots)}
        found.append(replace(entry, problems=tuple(each for each in FOCUSES if each in skills)))
    return found


def _named_now(entry: ResultEntry, before: ResultEntry | None) -> tuple[Place, ...]:
    known = before.wrong_bars if before else ()
    return tuple(place for place in entry.wrong_bars if place not in known)


def _check_place(place: Place, profile: PieceProfile, name: str, field: str) -> None:
    first, last = place
    if not profile.measure_numbers:
        raise InputError(
            f"{name}: {profile.title} is on paper, so its bars are not known here.",
            hint="Name them in the remark.", field=field,
        )  # fmt: skip
    if not 0 <= first <= last < len(profile.measure_numbers):
        raise InputError(f"{name}: bars that went wrong must lie in {profile.title}.", field=field)


def _parts_read(profile: PieceProfile, ensemble: Ensemble) -> Mapping[int, PartProfile]:
    casting = cast_parts(profile.parts, ensemble.sections)
    read = {section.id: casting.part_of(section.id) for section in ensemble.sections}
    return {at: profile.part(one.part) for at, one in read.items() if one is not None}


def _heaviest(spots: Sequence[Spot]) -> Sequence[Spot]:
    return sorted(spots, key=lambda spot: (-spot.weight, spot.measure))[:MOST_HARD_BARS]


def _hard_bar(spot: Spot) -> HardBar:
    return HardBar(_place(spot), spot.kinds[0] if spot.kinds else None)


def _place(spot: Spot) -> Place:
    return spot.measure, spot.measure if spot.end_measure is None else spot.end_measure
