"""Where printed sheets, workbooks and calendars are filed: a folder an ensemble, in it one a term."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from planner.core.term import Term
from planner.core.text import file_name
from planner.services.ports.files import Filed
from planner.services.ports.work import UnitOfWork
from planner.wording.director.files import kept_text


def term_folder(work: UnitOfWork, term: Term) -> str:
    """The folder of a term's files below that of all exports, such as ``concert-band/autumn``."""
    ensembles = {each.id: each.name for each in work.ensembles.list_ensembles()}
    terms = {each.id: each.name for each in work.terms.list_terms() if each.ensemble_id == term.ensemble_id}
    return f"{_folder_names(ensembles)[term.ensemble_id]}/{_folder_names(terms)[term.id]}"


def _folder_names(names: Mapping[int, str]) -> dict[int, str]:
    """A folder's name for each, by id: no two alike, although two names may differ in signs alone.

    Example:
        >>> _folder_names({1: "Band A", 2: "Band-A!", 3: "…"})
        {1: 'band-a', 2: 'band-a-2', 3: '3'}
    """
    found: dict[int, str] = {}
    for key in sorted(names):
        name = file_name(names[key]) or str(key)
        while name in found.values():
            name = f"{name}-{key}"
        found[key] = name
    return found


def kept_notes(made: Sequence[Filed]) -> list[str]:
    """Of files that were written, a sentence on each that has another name because a changed one stays."""
    notes = (kept_text(each.path.name, [path.name for path in each.kept]) for each in made)
    return [note for note in notes if note]


@dataclass(frozen=True, slots=True)
class LooseFolder:
    """``ExportShelf`` for a folder that nobody else writes to, as for one download."""

    folder: Path

    def put(self, name: str, write: Callable[[Path], object]) -> Filed:
        """Write it there; whoever writes makes the folders that it needs."""
        path = self.folder / name
        write(path)
        return Filed(path)

    def tidy(self, folder: str, current: Collection[Path]) -> None:
        """Nothing is there but what is current."""

    def find(self, folder: str, ending: str) -> Sequence[Path]:
        """All files below a folder with that ending."""
        return sorted((self.folder / folder).rglob(f"*{ending}"))
