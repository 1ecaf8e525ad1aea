"""Two entries of players in the journal, as they are before and after they are taken for the same person."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from planner.core.change import Subject, Values
from planner.core.ensemble import Ensemble, Exposure, Player, Section
from planner.errors import ConflictError, NotFoundError
from planner.services.changes.ensemble_record import exposure_of
from planner.services.changes.marks_record import mark_of, mark_values
from planner.services.changes.seat_record import put_seat, seat_values
from planner.services.levels.index import index_ensemble
from planner.services.people.find import find_section
from planner.services.ports.work import UnitOfWork

SEAT, MARK, MET, SIZE = "seat", "mark", "met", "size"
"""First words of the names of values."""


def joined_subject(person: int, other: int) -> Subject:
    """A player and another entry of theirs, as the journal speaks of them: by identity, without the names."""
    return Subject("person", person, "", {"other": str(other)})


def read_joined(work: UnitOfWork, subject: Subject) -> Values:
    """Seats, marks and exposures of both, and the sizes of the sections where they sit."""
    people = {subject.id, int(subject.within["other"])}
    names = work.ensembles.people()
    if subject.id not in names:
        raise NotFoundError("player", "of that change")
    values: dict[str, Any] = {}
    for ensemble, section, player in _seats(work):
        if player.person in people:
            values[f"{SEAT} {player.id}"] = seat_values(section, player)
            values[f"{SIZE} {section.id}"] = section.size
            for mark in work.results.marks(ensemble.id):
                if mark.player_id == player.id:
                    values[f"{MARK} {player.id} {mark.on}"] = mark_values(mark)
    for exposure in work.ensembles.exposures():
        if exposure.person in people:
            values[_met_name(exposure)] = _met_values(exposure)
    return values


def write_joined(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    """Put values back: seats first, then what hangs on them.

    Raises:
        ConflictError: If the records of the other entry were deleted.
    """
    names = work.ensembles.people()
    if int(subject.within["other"]) not in names:
        raise ConflictError("The records of that player were deleted.", hint="Enter the player anew.")
    there = {player.id: (section, player) for _, section, player in _seats(work)}
    for kind, write in _WRITERS:
        for name, value in values.items():
            if name.split(maxsplit=1)[0] == kind:
                write(work, name, value, there, names)
    resized = {int(name.split()[1]) for name in values if name.split(maxsplit=1)[0] == SIZE}
    for ensemble_id in sorted({find_section(work, section_id)[0].id for section_id in resized}):
        index_ensemble(work, ensemble_id)


def _seats(work: UnitOfWork) -> Iterator[tuple[Ensemble, Section, Player]]:
    for ensemble in work.ensembles.list_ensembles():
        for section in ensemble.sections:
            for player in section.players:
                yield ensemble, section, player


_There = Mapping[int, tuple[Section, Player]]


def _clear_mark(work: UnitOfWork, name: str, value: Any, there: _There, _names: Mapping[int, str]) -> None:
    seat, on = name.split()[1:]
    if value is None and int(seat) in there:
        work.results.remove_mark(int(seat), date.fromisoformat(on))


def _write_seat(work: UnitOfWork, name: str, value: Any, there: _There, names: Mapping[int, str]) -> None:
    seat = int(name.split()[1])
    if value is None:
        work.ensembles.remove_player(seat)
        return
    put_seat(work, seat, value, there, names)


def _write_mark(work: UnitOfWork, name: str, value: Any, _there: _There, _names: Mapping[int, str]) -> None:
    if value is not None:
        seat, on = name.split()[1:]
        work.results.put_mark(mark_of(int(seat), date.fromisoformat(on), value))


def _write_met(work: UnitOfWork, name: str, value: Any, _there: _There, _names: Mapping[int, str]) -> None:
    if value is not None:
        work.ensembles.add_exposure(exposure_of(value["ensemble"], value))
        return
    for exposure in work.ensembles.exposures():
        if exposure.person is not None and _met_name(exposure) == name:
            work.ensembles.remove_exposure(exposure)


def _write_size(work: UnitOfWork, name: str, value: Any, _there: _There, _names: Mapping[int, str]) -> None:
    if value is not None:
        _, section = find_section(work, int(name.split()[1]))
        work.ensembles.update_section(replace(section, size=value))


_WRITERS = (
    (MARK, _clear_mark), (SEAT, _write_seat), (MARK, _write_mark), (MET, _write_met), (SIZE, _write_size),
)  # fmt: skip
"""In this order: a seat goes only without marks, and is there before its marks come back."""


def _met_values(exposure: Exposure) -> dict[str, Any]:
    return {
        "ensemble": exposure.ensemble_id, "piece": exposure.piece_id, "how": exposure.how,
        "on": exposure.on.isoformat() if exposure.on else None, "section": exposure.section_id,
        "note": exposure.note, "person": exposure.person,
    }  # fmt: skip


def _met_name(exposure: Exposure) -> str:
    return (
        f"{MET} {exposure.ensemble_id} {exposure.piece_id} {exposure.how} {exposure.on or 'any'} "
        f"{exposure.section_id or 'all'} {exposure.person} {exposure.note}"
    ).strip()
