"""Pieces as an ensemble or one of its sections stands to them: what it can just read, knows, is trained by.

All rests on what is stored of each piece (``core.asked``): no study is opened.
"""

from datetime import date

from planner.core.ensemble import Ensemble
from planner.core.finding import Group
from planner.errors import NotFoundError
from planner.levels.readable import EASY_ABOVE, HARD_BELOW
from planner.matching.library_fit import fit_library
from planner.services.plan.demands import Ladder, stored_shares
from planner.services.plan.freshness import Knowing, known_by_day, known_to_section
from planner.services.ports.work import UnitOfWork

Ids = frozenset[int]


def just_readable(work: UnitOfWork, group: Group) -> Ids:
    """Pieces that a section can just read; for an ensemble those that it can read together.

    That is: they can be cast, nobody's part is too hard, and the sections together do not find them too
    easy, by the shares between which a part is just readable.
    """
    ensemble = _ensemble(work, group)
    stored = work.pieces.asked(ensemble.id)
    fit = fit_library(list(stored.values()), ensemble)
    if group.section_id is not None:
        column = [section.id for section in ensemble.sections].index(group.section_id)
        share = fit.share[:, column]
        able = (share >= HARD_BELOW) & (share <= EASY_ABOVE)
    else:
        able = fit.can_be_cast & (fit.worst_share >= HARD_BELOW) & (fit.mean_share <= EASY_ABOVE)
    pieces = list(stored)
    return frozenset(pieces[at] for at in able.nonzero()[0].tolist())


def known_to(work: UnitOfWork, group: Group, today: date) -> Ids:
    """Pieces that somebody of an ensemble, or of a section, can know today or will have been read elsewhere.

    What the ensemble's own plans have ahead is still fresh.
    """
    ensemble = _ensemble(work, group)
    if group.section_id is not None:
        return frozenset(known_to_section(work, ensemble, group.section_id, today))
    known = known_by_day(work, ensemble, [today], today=today)[today]
    return frozenset(
        piece
        for piece, each in known.items()
        if each.how is not Knowing.PLANNED or each.exposure.ensemble_id != ensemble.id
    )


def training(work: UnitOfWork, ensemble_id: int, skill: str) -> Ids:
    """Pieces that train a skill as the plan has it: held against all that the ensemble can read."""
    ensemble = _ensemble(work, Group(ensemble_id))
    stored = work.pieces.asked(ensemble_id)
    fit = fit_library(list(stored.values()), ensemble)
    pieces = list(stored)
    able = (fit.is_read & fit.can_be_cast).nonzero()[0].tolist()
    shares = {pieces[at]: stored_shares(stored[pieces[at]]) for at in able}
    ladder = Ladder(shares)
    return frozenset(piece for piece in shares if ladder.does_train(piece, skill))


def _ensemble(work: UnitOfWork, group: Group) -> Ensemble:
    """The ensemble of a group.

    Raises:
        NotFoundError: If it, or the section, is not there.
    """
    ensemble = next((e for e in work.ensembles.list_ensembles() if e.id == group.ensemble_id), None)
    if ensemble is None:
        raise NotFoundError("ensemble", group.ensemble_id)
    if group.section_id is not None and group.section_id not in {one.id for one in ensemble.sections}:
        raise NotFoundError("section", group.section_id)
    return ensemble
