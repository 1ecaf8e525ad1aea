"""Finding a section or a player among all ensembles."""

from planner.core.ensemble import Ensemble, Player, Section
from planner.errors import NotFoundError
from planner.services.ports.work import UnitOfWork


def find_section(work: UnitOfWork, section_id: int) -> tuple[Ensemble, Section]:
    """A section and the ensemble it belongs to.

    Raises:
        NotFoundError: If it is not there.
    """
    for ensemble in work.ensembles.list_ensembles():
        for section in ensemble.sections:
            if section.id == section_id:
                return ensemble, section
    raise NotFoundError("section", section_id)


def find_player(work: UnitOfWork, player_id: int) -> tuple[Ensemble, Section, Player]:
    """A player with section and ensemble.

    Raises:
        NotFoundError: If they are not there.
    """
    for ensemble in work.ensembles.list_ensembles():
        for section in ensemble.sections:
            for player in section.players:
                if player.id == player_id:
                    return ensemble, section, player
    raise NotFoundError("player", player_id)
