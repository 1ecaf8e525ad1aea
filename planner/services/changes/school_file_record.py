"""How the file for a school's system is written, in the journal: by what was chosen."""

from typing import Any

from planner.core.change import Subject, Values
from planner.core.ensemble import Ensemble
from planner.services.ports.work import UnitOfWork

KIND = "ensemble"
"""Kind of the thing that such a change is about."""


def school_file_name(ensemble_id: int) -> str:
    """Name of the setting that keeps the choice for an ensemble."""
    return f"school-file {ensemble_id}"


def school_file_subject(ensemble: Ensemble) -> Subject:
    """An ensemble, as the journal speaks of its file."""
    return Subject(KIND, ensemble.id, ensemble.name)


def read_school_file(work: UnitOfWork, subject: Subject) -> Values:
    """What is chosen; nothing where nobody has chosen anything."""
    return work.settings.get(school_file_name(subject.id)) or {}


def write_school_file(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    """Put choices back; without any, nobody has chosen."""
    now = {**read_school_file(work, subject), **values}
    left = {name: value for name, value in now.items() if value is not None}
    work.settings.put(school_file_name(subject.id), left or None)
