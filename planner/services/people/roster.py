"""Ensembles, sections and players, and what each has met."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from planner.core.change import Author, ChangeKind
from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL, Ensemble, Exposure, Player, Section
from planner.core.freshness import was_there
from planner.errors import InputError
from planner.services.changes.journal import recorded
from planner.services.changes.records import section_subject
from planner.services.levels.index import has_other_seats, index_ensemble
from planner.services.levels.section_levels import take_word
from planner.services.people.find import find_player, find_section
from planner.services.ports import UnitOfWork

EXPOSURE_KINDS = ("performed", "rehearsed", "read", "heard")


def add_ensemble(work: UnitOfWork, name: str, kind: str = "band") -> Ensemble:
    """A new ensemble without sections.

    Raises:
        InputError: If the name is empty.
        ConflictError: If the name is taken.
    """
    new = Ensemble(0, _name(name, "An ensemble"), _name(kind, "The kind of an ensemble"))
    return work.ensembles.get(work.ensembles.add(new))


def list_ensembles(work: UnitOfWork) -> Sequence[Ensemble]:
    """All ensembles with their sections and players, by name."""
    return work.ensembles.list_ensembles()


def get_ensemble(work: UnitOfWork, ensemble_id: int) -> Ensemble:
    """An ensemble with its sections and players.

    Raises:
        NotFoundError: If it is not there.
    """
    return work.ensembles.get(ensemble_id)


def add_section(work: UnitOfWork, ensemble_id: int, section: Section) -> Section:
    """A new section, with its players if it names some; as it is stored.

    Raises:
        InputError: If a value cannot hold.
        ConflictError: If the ensemble has a section of that name.
    """
    return add_sections(work, ensemble_id, [section])[0]


def add_sections(work: UnitOfWork, ensemble_id: int, sections: Sequence[Section]) -> tuple[Section, ...]:
    """New sections, as they are stored.

    Raises:
        InputError: If a value cannot hold.
        ConflictError: If the ensemble has a section of one of the names.
    """
    ids = [work.ensembles.add_section(ensemble_id, _checked(section)) for section in sections]
    index_ensemble(work, ensemble_id)
    ensemble = work.ensembles.get(ensemble_id)
    return tuple(_section_in(ensemble, section_id) for section_id in ids)


def change_section(work: UnitOfWork, section: Section, *, by: Author) -> None:
    """Store everything of a section but its players, and journal it.

    A new level is the director's word from now on.

    Raises:
        InputError: If a value cannot hold.
        NotFoundError: If it is not there.
    """
    ensemble, before = find_section(work, section.id)
    with recorded(work, ChangeKind.SECTION, section_subject(before), by):
        work.ensembles.update_section(take_word(work, ensemble, before, _checked(section)))
        if has_other_seats(before, section):
            index_ensemble(work, ensemble.id)


def remove_section(work: UnitOfWork, section_id: int) -> None:
    """Take out a section nobody has results or exposures of.

    Raises:
        ConflictError: If there are some.
    """
    ensemble, _ = find_section(work, section_id)
    work.ensembles.remove_section(section_id)
    index_ensemble(work, ensemble.id)


def add_player(
    work: UnitOfWork, section_id: int, name: str, *, joined: date | None = None, left: date | None = None
) -> int:
    """A new player in a section; the player's id.

    A section grows when more are named than it counts.

    Args:
        work: An open unit of work.
        section_id: Where the player sits.
        name: As called in the room.
        joined: First day in the room; None when not known.
        left: First day no longer in the room; None when still there.
    """
    player = _checked_player(Player(0, _name(name, "A player"), joined, left))
    _, section = find_section(work, section_id)
    player_id = work.ensembles.add_player(section_id, player)
    _recount(work, section)
    return player_id


def move_player(work: UnitOfWork, player_id: int, section_id: int) -> None:
    """Seat a player in another section of the ensemble.

    What the player met with the old section alone now counts for the new one: someone in it knows it.

    Raises:
        NotFoundError: If player or section is not there.
        InputError: If the section belongs to another ensemble.
    """
    ensemble, old, player = find_player(work, player_id)
    target, new = find_section(work, section_id)
    if target.id != ensemble.id:
        raise InputError(
            f"{new.name} is a section of {target.name}.", hint="Add the player there under the same name."
        )
    if new.id == old.id:
        return
    work.ensembles.move_player(player_id, section_id)
    _recount(work, old)
    _recount(work, new)
    for exposure in work.ensembles.exposures(ensemble.id):
        if exposure.section_id == old.id and was_there(player, exposure.on):
            came_along = f"{player.name} met it in {old.name}"
            work.ensembles.add_exposure(replace(exposure, section_id=section_id, note=came_along))


def record_exposure(work: UnitOfWork, exposure: Exposure) -> None:
    """Note that an ensemble, or one section of it, has met a piece.

    Raises:
        InputError: If it is not said how.
        NotFoundError: If ensemble, section or piece is not there.
    """
    if exposure.how not in EXPOSURE_KINDS:
        raise InputError(f"A piece is met by being {', '.join(EXPOSURE_KINDS)}, not {exposure.how}.")
    work.ensembles.add_exposure(exposure)


def list_exposures(work: UnitOfWork, ensemble_id: int, *, piece_id: int | None = None) -> Sequence[Exposure]:
    """What an ensemble and its sections have met, of one piece or of all."""
    work.ensembles.get(ensemble_id)
    met = work.ensembles.exposures(ensemble_id)
    return [exposure for exposure in met if piece_id in (None, exposure.piece_id)]


def _name(text: str, what: str) -> str:
    name = " ".join(text.split())
    if not name:
        raise InputError(f"{what} needs a name.")
    return name


def _checked(section: Section) -> Section:
    name = _name(section.name, "A section")
    if not LOWEST_LEVEL <= section.level <= HIGHEST_LEVEL:
        raise InputError(
            f"The level of {name} must be from {LOWEST_LEVEL:g} to {HIGHEST_LEVEL:g}, not {section.level:g}."
        )
    if section.size < 1 or section.chair < 1:
        raise InputError(f"{name} needs at least one player, and chairs count from 1.")
    if not section.instrument:
        raise InputError(f"Say which instrument {name} plays.")
    return replace(section, name=name)


def _checked_player(player: Player) -> Player:
    if player.joined and player.left and player.left < player.joined:
        raise InputError(f"{player.name} cannot have left before joining.", hint="Check the two dates.")
    return replace(player, name=_name(player.name, "A player"))


def _section_in(ensemble: Ensemble, section_id: int) -> Section:
    return next(section for section in ensemble.sections if section.id == section_id)


def _recount(work: UnitOfWork, before: Section) -> None:
    """Keep a section's size in step with its named players, if they were all named before."""
    ensemble, section = find_section(work, before.id)
    named = _still_here(section)
    if named > section.size or _still_here(before) >= before.size:
        counted = replace(section, size=max(1, named))
        work.ensembles.update_section(counted)
        if has_other_seats(section, counted):
            index_ensemble(work, ensemble.id)


def _still_here(section: Section) -> int:
    return sum(1 for player in section.players if player.left is None)
