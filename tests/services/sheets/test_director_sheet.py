"""The director's sheet: true of the score, of what is read, and of who is there."""

import re
from dataclasses import replace
from datetime import date
from itertools import pairwise
from pathlib import Path

import pytest

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.ensemble import Ensemble, Section
from planner.core.fact import Fact, FactKind
from planner.core.profile import (
    DynamicUse,
    Excerpt,
    FormSection,
    KeySpan,
    MelodySpan,
    PartProfile,
    Roadmap,
    Spot,
    Tempo,
    TempoSpan,
)
from planner.core.score import RoadmapMark
from planner.core.term import DayShape, Plan, Slot, Station, Term
from planner.errors import NotFoundError
from planner.services.sheets.director.make_sheet import (
    DirectorReading,
    director_sheet,
    make_director_sheet,
)
from planner.services.sheets.director.places import ensemble_places
from planner.services.sheets.director.score_map import score_map
from planner.services.sheets.filing import LooseFolder
from planner.services.sheets.guide_excerpts import drawer_for
from planner.services.sheets.guide_view import Reading, guide_view
from planner.services.sheets.readers import parts_with_sheets
from planner.services.sheets.views import SheetKind
from tests.checks import some
from tests.fakes import at_a_door, make_profile, make_source
from tests.reference import reference_data, sampled
from tests.services.sheets.director_checks import statements
from tests.services.term.library_for_plans import make_library, make_piece_profile
from tests.study.fact_checks import SAMPLES, is_comparable, read_twice, sample

DAY = date(2026, 9, 3)
TERM = Term(1, 1, "Autumn", DAY, DAY, (DAY.weekday(),), minutes=12.0)
SECTIONS = (Section(1, "Flute", "flute", size=3, level=2.0), Section(2, "Oboe", "oboe", size=1, level=2.0))


class Paper:
    """A piece as the library knows it."""

    id, title, composer, arranger, is_on_paper = 1, "Rondo", "Ada Weir", "", False


def make_part(name="Flute", instrument="flute", level=2.0, **changes):
    part = PartProfile(name, instrument, 0, 40, ("C4", "G4"), ("C4", "G4"), level)
    return replace(part, **changes)


def spot_at(measure, *kinds, weight=1.0, end=None):
    challenges = tuple(Challenge(measure, kind, weight, end_measure=end) for kind in kinds)
    return Spot(measure, challenges, end or measure, weight)


def make_reading(profile=None, **changes):
    profile = profile or make_profile(parts=(make_part(), make_part("Oboe", "oboe")), measures=16)
    ensemble = Ensemble(1, "Riverside Band", sections=SECTIONS)
    reading = DirectorReading(TERM, ensemble, (Slot(DAY, 0, 1, "rhythm"),), Paper(), profile, profile.level)
    return replace(reading, **changes)


def sheet_of(profile=None, **changes):
    return director_sheet(make_reading(profile, **changes), DAY)


@pytest.mark.parametrize("name", ["crosswind", "sakura"])
def test_what_a_sheet_states_is_so_in_the_bare_score(name):
    bare, profile = sample(name)
    verdicts = list(statements(bare, profile))
    assert len(verdicts) > 20
    assert [what for what, is_so in verdicts if not is_so] == []


@pytest.mark.slow
def test_what_many_sheets_state_is_so_in_the_bare_scores():
    reference = sorted((reference_data() / "ensembles").rglob("*.mxl"))
    wrong, count = [], 0
    for path in some([*SAMPLES, *sampled(reference, 8)]):
        bare, profile = read_twice(path)
        if is_comparable(bare, profile) and [p.name for p in bare.parts] == [p.name for p in profile.parts]:
            verdicts = list(statements(bare, profile))
            count += len(verdicts)
            wrong += [(path.stem, what) for what, is_so in verdicts if not is_so]
    assert wrong == []
    assert count > 3000


def test_false_marks_and_cues_are_found_out():
    bare, profile = sample("crosswind")
    quiet = tuple(replace(part, dynamics=(DynamicUse(1, "ppp"),)) for part in profile.parts)
    wrong = [what for what, is_so in statements(bare, replace(profile, parts=quiet)) if not is_so]
    assert wrong == ["ppp in 1"]
    cue = Challenge(10, ChallengeKind.ENTRANCE_AFTER_REST, 1.0, numbers=(("bars", 8), ("before", 0)))
    first = replace(profile.parts[1], spots=(Spot(10, (cue,), 10, 1.0),))
    parts = (profile.parts[0], first, *profile.parts[2:])
    assert any(
        "rests" in what for what, is_so in statements(bare, replace(profile, parts=parts)) if not is_so
    )


def test_the_map_has_sections_keys_tempos_tune_and_dynamics_where_they_stand():
    loud, soft = (
        (DynamicUse(4, "f"), DynamicUse(8, "crescendo", 9)),
        (DynamicUse(4, "mp"), DynamicUse(6, "p")),
    )
    profile = make_profile(
        measures=16,
        measure_numbers=tuple(str(n) for n in range(1, 17)),
        parts=tuple(make_part(str(n), dynamics=loud if n < 2 else soft if n < 3 else ()) for n in range(5)),
        form=(FormSection("introduction", 0, 3), FormSection("A", 4, 11), FormSection("A", 12, 15, "B")),
        keys=(KeySpan(0, "Bb major"), KeySpan(6, "C minor"), KeySpan(6, "F major", offset_quarters=2.0)),
        tempos=(TempoSpan(0, 96.0, bpm=96.0, source="metronome", words="Lively."),),
        melody=(MelodySpan(0, 0, "0"), MelodySpan(4, 2.0, "3"), MelodySpan(8, 0, ""), MelodySpan(9, 0, "0")),
    )  # fmt: skip
    shown = score_map(profile)
    assert [(b.first, b.last, b.label) for b in shown.sections] == [
        (0, 3, "Introduction"), (4, 11, "A"), (12, 15, "B (A again)"),
    ]  # fmt: skip
    assert [(b.first, b.last, b.label) for b in shown.keys] == [(0, 5, "B♭ major"), (6, 15, "F major")]
    assert [(m.measure, m.label) for m in shown.tempos] == [(0, "Lively ♩ = 96")]
    assert [(row.name, row.places) for row in shown.tune] == [("0", ((0, 4), (9, 15))), ("3", ((4, 7),))]
    assert [(m.measure, m.label) for m in shown.dynamics] == [(4, "mp–f"), (6, "p")]
    assert [(s.first, s.last, s.is_louder) for s in shown.swells] == [(8, 9, True)]


def test_a_mark_of_few_parts_is_not_the_ensembles():
    own = [make_part(str(n), dynamics=(DynamicUse(0, "p"),)) for n in range(9)]
    own[0] = replace(own[0], dynamics=(DynamicUse(0, "p"), DynamicUse(1, "ff")))
    shown = score_map(make_profile(parts=tuple(own)))
    assert [(m.measure, m.label) for m in shown.dynamics] == [(0, "p")]


def test_a_repeat_that_closes_where_another_opens_is_one_sign():
    marks = (RoadmapMark("repeat-end", 3), RoadmapMark("repeat-start", 4), RoadmapMark("repeat-end", 7))
    shown = score_map(make_profile(measures=8, roadmap=Roadmap(tuple(range(8)), marks=marks)))
    assert [(m.measure, m.label) for m in shown.roadmap] == [(3, ":‖:"), (7, ":‖")]


def test_places_are_where_hard_spots_of_several_parts_fall_together():
    parts = (
        make_part(
            "A", spots=(spot_at(3, ChallengeKind.RUN), spot_at(9, ChallengeKind.WIDE_LEAP, weight=9.0))
        ),
        make_part("B", spots=(spot_at(3, ChallengeKind.RUN), spot_at(6, ChallengeKind.KEY_CHANGE))),
        make_part("C", spots=(spot_at(6, ChallengeKind.KEY_CHANGE, weight=0.5),)),
    )
    found = ensemble_places(parts, 12)
    assert [(each.place, each.parts) for each in found] == [((3, 3), ("A", "B")), ((6, 6), ("B", "C"))]
    assert ensemble_places(parts[:1], 12) == ()


def test_no_more_than_three_places_and_none_twice():
    parts = tuple(make_part(n, spots=tuple(spot_at(at, ChallengeKind.RUN) for at in range(8))) for n in "AB")
    found = ensemble_places(parts, 8)
    assert len(found) == 3
    assert len({each.place for each in found}) == 3


def test_the_forecast_names_who_is_out_of_reach_and_who_may_need_help():
    parts = (make_part(level=3.5), make_part("Oboe", "oboe", level=2.5))
    sheet = sheet_of(make_profile(parts=parts, measures=16))
    flute, oboe = sheet.sections
    assert (flute.name, flute.levels, flute.verdict) == ("Flute (3)", "3.5, 2.0", "out of reach")
    assert (oboe.share, oboe.verdict) == ("74", "may need help")
    low, high = (int(number) for number in oboe.span.split("–"))
    assert low < 74 < high
    assert sheet.help == ("Out of reach at sight: Flute.", "May need help: Oboe.")


def test_what_the_players_sheets_ask_is_answered_from_one_source():
    _, profile = sample("crosswind")
    sections = tuple(Section(at + 1, part.name, part.instrument) for at, part in enumerate(profile.parts))
    reading = make_reading(profile, ensemble=Ensemble(1, "Band", sections=sections))
    answers = director_sheet(reading, DAY).answers
    asked = {}
    placed = Reading(reading.ensemble, reading.slots[0], reading.piece, profile, None)
    for at in some(parts_with_sheets(profile, reading.ensemble)):
        for kind in (SheetKind.PLAIN, SheetKind.LARGE_PRINT):
            drawer = drawer_for(None, None, line_mm=150.0, kind=kind)
            view = guide_view(placed, at, (), drawer, DAY, kind)
            for each in view.questions:
                asked.setdefault(bare(each.question), []).append((view.part, each.answer.rstrip(".")))
    answered = {bare(line.question): line.answer for line in answers}
    assert sorted(answered) == sorted(asked)
    for question, found in some(asked.items()):
        for part, answer in found:
            assert answer in answered[question]
            assert part in answered[question] or "Everyone" in answered[question]


def bare(question):
    """A question without the bar that the sheet of a part names beside a word or a spelling."""
    return re.sub(r"^(What does “.*”|Your .*?) in bars? [\d–]+", r"\1", question)


def test_who_is_away_is_named_and_reads_nothing():
    term = replace(TERM, shapes=(DayShape(DAY, absent=(2,)),))
    sheet = sheet_of(term=term)
    assert [section.name for section in sheet.sections] == ["Flute (3)"]
    assert "Away: Oboe." in sheet.help
    assert "Parts that nobody reads: Oboe." in sheet.help


def test_at_stations_only_those_count_who_sit_there():
    term = replace(TERM, shapes=(DayShape(DAY, stations=(Station("High", (1,)), Station("Low", (2,)))),))
    sheet = sheet_of(term=term, slots=(Slot(DAY, 0, 1, "rhythm", station=1),))
    assert [section.name for section in sheet.sections] == ["Oboe (1)"]


def test_where_nobody_fits_the_parts_are_listed_without_a_forecast():
    parts = (make_part("Zither", "zither", None, spots=(spot_at(2, ChallengeKind.TIE_OVER_BAR_LINE),)),)
    sheet = sheet_of(make_profile(parts=parts, measures=16))
    (line,) = sheet.sections
    assert (line.name, line.share) == ("Zither", "")
    assert line.find.startswith("Bar 3:")


def test_only_a_passage_is_spoken_of_where_the_whole_does_not_fit():
    spots = (spot_at(2, ChallengeKind.TIE_OVER_BAR_LINE), spot_at(20, ChallengeKind.KEY_CHANGE, weight=0.1))
    spots = (spots[0], replace(spots[1], challenges=(Challenge(
        20, ChallengeKind.KEY_CHANGE, 0.1, numbers=(("fifths", 1),)),)))  # fmt: skip
    profile = make_profile(
        measures=40,
        parts=tuple(make_part(n, i, spots=spots) for n, i in (("Flute", "flute"), ("Oboe", "oboe"))),
        playing_seconds=1200.0,
        excerpts=(Excerpt(16, 31, 1.0),),
        tempos=(
            TempoSpan(0, 96.0, bpm=96.0, first_reading=72),
            TempoSpan(8, 60.0, bpm=60.0, first_reading=50),
        ),
        tempo_bpm=Tempo(96.0, "quarter", 80, first_reading=72),
        facts=(Fact(FactKind.FERMATAS, places=((3, 3), (18, 18))),),
    )  # fmt: skip
    sheet = sheet_of(profile)
    assert sheet.roadmap == "Only bars 17–32, once through, to fit the time"
    assert "= 50" in sheet.tempos[0].replace("\N{NO-BREAK SPACE}", " ")
    assert [place.where for place in sheet.places] == ["1. Bar 21"]
    assert sheet.map.passage == (16, 31)
    assert all("Bar 3" not in section.find for section in some(sheet.sections))
    answers = {step.name: step.answer for step in sheet.script}
    assert answers["Roadmap"] == "Bars 17–32, once through."
    assert answers["Dynamics"] == "Fermata in bar 19."


def test_the_script_fills_the_minutes_of_the_reading_in_order():
    _, profile = sample("crosswind")
    script = sheet_of(profile, level=profile.level).script
    seconds = [60 * int(step.at.partition(":")[0]) + int(step.at.partition(":")[2]) for step in script]
    assert seconds[0] == 0
    assert seconds == sorted(seconds)
    assert min(b - a for a, b in pairwise(seconds)) >= 10
    names = [step.name for step in script]
    assert names[:2] == ["Meter", "Roadmap"]
    assert names[-5:] == ["Hear it", "First reading", "Fix it", "Second reading", "Pencils down"]
    assert all(step.answer for step in script[:-5])


class Writer:
    """Keeps the sheet in place of printing it."""

    def write(self, sheet, path):
        self.sheet = sheet
        return path


def test_the_sheet_of_a_planned_piece_is_made_from_the_library():
    library, _, term_id = make_library(2)
    profile = make_piece_profile(9, 2.0, "rhythm", measures=40)
    with library() as work:
        piece_id = work.pieces.add(make_source("planned"), profile, DAY)
        other = work.pieces.add(make_source("other"), make_piece_profile(8, 2.0, "key"), DAY)
        slot = Slot(DAY, 0, piece_id, "rhythm", featured_section_id=1)
        work.terms.save_plan(Plan(term_id, (slot,)))
        work.commit()
    writer = Writer()
    request = {"term_id": term_id, "on": DAY, "exports": LooseFolder(Path("out")), "today": DAY}
    made = at_a_door(library, make_director_sheet, writer, piece_id=piece_id, folder="1-piece-9", **request)
    assert made.path == Path("out/1-piece-9/director.pdf")
    assert (writer.sheet.title, writer.sheet.ensemble) == ("Piece 9", "Band")
    assert [line.name for line in writer.sheet.sections][:2] == ["Flute (3)", "Clarinet 1 (3)"]
    with pytest.raises(NotFoundError):
        at_a_door(library, make_director_sheet, writer, piece_id=other, **request)
