"""One seat in the journal: who sits where, from which day to which; by identity, never by name."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from planner.core.ensemble import Player, Section
from planner.errors import ConflictError
from planner.services.ports.work import UnitOfWork


def seat_values(section: Section, player: Player) -> dict[str, Any]:
    """A seat as values."""
    return {
        "person": player.person, "section": section.id,
        "joined": player.joined.isoformat() if player.joined else None,
        "left": player.left.isoformat() if player.left else None,
    }  # fmt: skip


def put_seat(
    work: UnitOfWork,
    seat_id: int,
    value: Mapping[str, Any],
    there: Mapping[int, tuple[Section, Player]],
    names: Mapping[int, str],
) -> None:
    """Put a seat back as it was.

    Args:
        work: An open unit of work.
        seat_id: The seat.
        value: Its values.
        there: The seats there are now, with their sections.
        names: Everybody's name by identity.

    Raises:
        ConflictError: If the records of who sat there were deleted.
    """
    if value["person"] not in names:
        raise ConflictError("The records of that player were deleted.", hint="Enter the player anew.")
    joined, left = (date.fromisoformat(value[day]) if value[day] else None for day in ("joined", "left"))
    player = Player(seat_id, names[value["person"]], joined, left, value["person"])
    if seat_id not in there:
        work.ensembles.add_player(value["section"], player, as_id=seat_id)
        return
    work.ensembles.update_player(player)
    if there[seat_id][0].id != value["section"]:
        work.ensembles.move_player(seat_id, value["section"])
