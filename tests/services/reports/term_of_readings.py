"""A term of forty days with results, marks and skills drawn by a seed, for reports."""

import random
from decimal import Decimal

from planner.core.difficulty import FOCUSES
from planner.core.term import Attendance, Plan, PlayerMark, Result, Slot
from tests.services.term.library_for_plans import make_library

LONG = "Ångström-Ωμέγα 王小明 محمد Иван " * 7
"""A name of about two hundred letters in five scripts."""


def make_read_term(seed: int = 1, *, weeks: int = 20):
    """A library, the ensemble's and the term's number, and the last day that was read.

    Of the planned days every fifth has no results; the last three lie ahead. The second section never reads.
    """
    chance = random.Random(seed)
    library, ensemble_id, term_id = make_library(24, weeks=weeks, players=True)
    with library() as work:
        band, term = work.ensembles.get(ensemble_id), work.terms.get(term_id)
        first = band.sections[0].players[0]
        work.ensembles.rename_person(first.person, LONG.strip()[:200])
        days, pieces = term.reading_dates(), sorted(work.pieces.titles())
        slots = [
            Slot(on, 0, pieces[at % len(pieces)], FOCUSES[chance.randrange(5)], minutes=6.0)
            for at, on in enumerate(days)
        ]
        work.terms.save_plan(Plan(term_id, tuple(slots)))
        for at, slot in enumerate(slots[:-3]):
            if at % 5 != 4:
                _read(work, band, slot, chance)
        work.commit()
    return library, ensemble_id, term_id, days[-4]


def _read(work, band, slot, chance):
    for section in (band.sections[0], *band.sections[2:]):
        first = chance.randrange(40, 100) / 100
        second = min(1.0, first + chance.randrange(-5, 20) / 100) if chance.random() < 0.7 else None
        problems = tuple(chance.sample(FOCUSES, chance.randrange(3)))
        work.results.put(
            Result(
                band.id, section.id, slot.piece_id, slot.on, first, second, problems=problems,
                counts=chance.random() < 0.9,
            )
        )  # fmt: skip
        for player in section.players:
            state = chance.choice([*Attendance, Attendance.PRESENT, None])
            own = Decimal(chance.randrange(50, 101)) if chance.random() < 0.2 else None
            if state is not None or own is not None:
                work.results.put_mark(PlayerMark(player.id, slot.on, state, own, note="a remark of Zoë"))
