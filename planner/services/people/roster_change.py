"""One change of an ensemble's sections and players: journaled once, the levels for it worked out once."""

from collections.abc import Iterator
from contextlib import contextmanager

from planner.core.change import Author, ChangeKind
from planner.services.changes.ensemble_record import ensemble_subject, has_other_sections
from planner.services.changes.journal import recorded
from planner.services.levels.index import index_ensemble
from planner.services.levels.section_levels import refresh_levels, section_evidence
from planner.services.ports.work import UnitOfWork


@contextmanager
def roster_changed(work: UnitOfWork, ensemble_id: int, by: Author) -> Iterator[None]:
    """Journal what the block changes in an ensemble, and work its levels out anew if others read now.

    Raises:
        NotFoundError: If there is no such ensemble.
    """
    before = work.ensembles.get(ensemble_id)
    with recorded(work, ChangeKind.ENSEMBLE, ensemble_subject(before), by):
        yield
    if has_other_sections(before, work.ensembles.get(ensemble_id)):
        index_ensemble(work, ensemble_id)
        refresh_levels(work, section_evidence(work, work.ensembles.get(ensemble_id)))
