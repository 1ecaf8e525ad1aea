"""Where a day has its first open place, how many places a proposal fills, which sections are named first."""

from datetime import date
from types import SimpleNamespace

from planner.adapters.web.filters import share_list
from planner.core.term import Slot
from planner.levels.readable import Verdict
from planner.scheduling.check import PlanCost
from planner.services.plan.proposals import DayChange, Proposal
from planner.services.term_page.term_picture import DayPicture

ON = date(2026, 9, 8)
FREE = PlanCost(reading=0, focus=0, turns=0, variety=0, change=0, open=0)


def slot(position, piece=1):
    return Slot(ON, position, piece, "rhythm")


def test_the_first_open_place_is_the_first_without_a_piece():
    def first_open(*taken):
        return DayPicture(ON, slots=tuple(SimpleNamespace(slot=slot(at)) for at in taken)).first_open

    assert (first_open(), first_open(0), first_open(1), first_open(0, 2)) == (0, 1, 0, 1)


def test_a_proposal_counts_places_it_fills_less_those_it_opens():
    def filled(*days):
        changes = tuple(DayChange(ON, before, after) for before, after in days)
        return Proposal(1, ON, (), FREE, FREE, changes).filled

    one, two = (slot(0),), (slot(0), slot(1, 2))
    assert filled(((), one), (one, two)) == 2
    assert filled(((), one), (two, one)) == 0
    assert filled((one, (slot(0, 3),))) == 0


def test_two_sections_are_named_those_furthest_off_first():
    def named(verdict, **shares):
        forecasts = [
            SimpleNamespace(section=SimpleNamespace(name=name), share=share, verdict=verdict)
            for name, share in shares.items()
        ]
        return share_list(forecasts)

    assert named(Verdict.TOO_EASY, Horn=0.96, Flute=0.99, Tuba=0.97) == "Flute 99%, Tuba 97% and 1 more"
    assert named(Verdict.TOO_HARD, Horn=0.66, Oboe=0.61) == "Oboe 61% and Horn 66%"
