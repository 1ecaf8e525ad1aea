"""The files of the home that are about a person: those that name them, and their reports."""

from collections.abc import Collection, Sequence

from planner.core.person_name import NameSearch
from planner.services.ports.files import FileTrace, HomeTraces
from planner.services.reports.names import FOLDER, player_file


def files_about(
    traces: HomeTraces, search: NameSearch, seats: Collection[int], *, but_backups: bool = False
) -> Sequence[FileTrace]:
    """The files in which a name stands, and the reports of some seats, whose words are drawn.

    Args:
        traces: The files of the home.
        search: The names.
        seats: Of the person, those they left long ago among them.
        but_backups: Backups are left out.
    """
    found = list(traces.find(search, but_backups=but_backups))
    reports = traces.named([f"{FOLDER}/{player_file(seat)}" for seat in sorted(seats)])
    known = {each.path for each in found}
    return (*found, *(each for each in reports if each.path not in known))
