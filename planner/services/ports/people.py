"""What is stored of ensembles and those who play."""

from collections.abc import Mapping, Sequence
from typing import Protocol

from planner.core.ensemble import Ensemble, Exposure, Player, Section


class EnsembleRepository(Protocol):
    """Ensembles with their sections, players and exposures."""

    def add(self, ensemble: Ensemble, *, as_id: int | None = None) -> int:
        """Store with its sections and players, under new ids; ``as_id`` brings back one that was taken out.

        Raises:
            ConflictError: If the name is taken.
        """
        ...

    def rename(self, ensemble_id: int, name: str, kind: str) -> None:
        """Store another name and kind.

        Raises:
            ConflictError: If the name is taken.
        """
        ...

    def remove(self, ensemble_id: int) -> None:
        """Take it out with its sections, players, marks, results, terms and what it has met."""
        ...

    def get(self, ensemble_id: int) -> Ensemble: ...
    def find_by_name(self, name: str) -> Ensemble | None: ...
    def list_ensembles(self) -> Sequence[Ensemble]: ...
    def add_section(self, ensemble_id: int, section: Section, *, as_id: int | None = None) -> int: ...
    def update_section(self, section: Section) -> None: ...
    def remove_section(self, section_id: int) -> None:
        """Take a section out.

        Raises:
            ConflictError: If results or exposures speak of it.
        """
        ...

    def add_player(self, section_id: int, player: Player, *, as_id: int | None = None) -> int:
        """Store a seat; without a person named, of the first of exactly that name, else a new one."""
        ...

    def update_player(self, player: Player) -> None:
        """Store whose a seat is, and its days."""
        ...

    def move_player(self, player_id: int, section_id: int) -> None: ...
    def remove_player(self, player_id: int) -> None:
        """Take a seat out; the person stays known.

        Raises:
            ConflictError: If there are marks of it.
        """
        ...

    def add_person(self, name: str) -> int:
        """Store somebody who has no seat yet."""
        ...

    def people(self) -> Mapping[int, str]:
        """Names of everybody known, by identity; those without a seat too."""
        ...

    def rename_person(self, person_id: int, name: str) -> None:
        """Store another name of a person, on every seat they have."""
        ...

    def remove_person(self, person_id: int) -> None:
        """Take a person out with what they alone have met; nothing happens when they are not there.

        Raises:
            ConflictError: If they have a seat.
        """
        ...

    def add_exposure(self, exposure: Exposure) -> None:
        """Store; the same exposure twice is kept once."""
        ...

    def remove_exposure(self, exposure: Exposure) -> None:
        """Take an exposure back; nothing happens when it is not there."""
        ...

    def exposures(self, ensemble_id: int | None = None) -> Sequence[Exposure]:
        """What an ensemble and its sections, or all of them, have met, in the order it was entered."""
        ...
