"""Reports hold the numbers of the gradebook and of the results, worked out here by another road."""

import re
from collections import Counter
from dataclasses import asdict
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from statistics import fmean

import pytest

from planner.core.difficulty import FOCUSES
from planner.core.mark_scheme import MarkScheme
from planner.core.term import Attendance, Plan
from planner.errors import NotFoundError
from planner.services.day.marks import read_term_marks
from planner.services.levels.section_term import sections_over_term
from planner.services.reports.player_report import player_report
from planner.services.reports.section_report import section_report
from planner.services.reports.term_report import term_report
from planner.services.reports.views import CountsPicture, LevelsPicture, MarksPicture
from planner.wording.words import short_day
from tests.checks import some
from tests.services.reports.term_of_readings import LONG, make_read_term

STEPS = [(98, 100), (93, 96), (85, 90), (75, 82), (65, 75), (50, 65), (0, 50)]
"""From so many bars right of 100 on, so high a mark: the usual scale, written down a second time."""


@pytest.fixture(scope="module")
def read():
    """The term with an open unit of work."""
    library, ensemble_id, term_id, today = make_read_term()
    with library() as work:
        yield work, ensemble_id, term_id, today


def part_of(view, heading):
    return next(part for part in view.parts if part.heading == heading)


def picture_of(view, kind):
    return next(part.picture for part in view.parts if isinstance(part.picture, kind))


def test_a_sections_report_counts_its_bare_results(read):
    work, ensemble_id, term_id, today = read
    section = work.ensembles.get(ensemble_id).sections[0]
    view = section_report(work, term_id, section.id, today)
    own = [r for r in work.results.list_results(ensemble_id) if r.section_id == section.id]
    set_aside = sum(not r.counts for r in own)
    assert f"It has {len(own)} results from {len({r.on for r in own})} days" in view.lead[3]
    assert f"; {set_aside} of them do" in view.lead[3]
    twice = [r for r in own if r.second_share is not None]
    (sentence,) = part_of(view, "First and second reading").sentences
    averages = [round(100 * fmean(share(r) for r in twice)) for share in
                (lambda r: r.first_share, lambda r: r.second_share)]  # fmt: skip
    assert sentence.startswith(
        f"{len(twice)} readings had a second one. Right of 100: {averages[0]}, then {averages[1]},"
    )
    rows = part_of(view, "Result by result").table.rows
    own.sort(key=lambda result: result.on)
    assert [row[4] for row in rows] == [str(round(100 * r.first_share)) for r in own]
    assert [row[5] != "" for row in rows] == [r.second_share is not None for r in own]


def test_skills_of_a_section_are_those_planned_and_those_named(read):
    work, ensemble_id, term_id, today = read
    section = work.ensembles.get(ensemble_id).sections[2]
    view = section_report(work, term_id, section.id, today)
    own = [r for r in work.results.list_results(ensemble_id) if r.section_id == section.id]
    plan = {slot.on: slot.focus for slot in work.terms.plan(term_id).slots}
    trained, wrong = Counter(plan[r.on] for r in own), Counter(p for r in own for p in r.problems)
    rows = picture_of(view, CountsPicture).rows
    assert [(row.label, row.first, row.second) for row in rows] == [
        (f, trained[f], wrong[f]) for f in FOCUSES
    ]
    most = max(wrong.values())
    named = part_of(view, "Skills").sentences[1]
    assert {f for f in FOCUSES if wrong[f] == most} == set(re.findall(r"(\w+) \(\d+\)", named))


def test_a_sections_level_is_that_of_its_page(read):
    work, ensemble_id, term_id, today = read
    ensemble, term = work.ensembles.get(ensemble_id), work.terms.get(term_id)
    for section in some([s for s in ensemble.sections if s.name != "Clarinet 1"]):
        page = sections_over_term(work, ensemble, term, today, only=section.id)[section.id]
        lead = section_report(work, term_id, section.id, today).lead
        assert lead[0].endswith(f"{section.name} stands at level {page.now.level:.1f}.")
        assert f"between {page.now.low:.1f} and {page.now.high:.1f}" in lead[1]


def test_a_section_without_results_is_one_sentence(read):
    work, ensemble_id, term_id, today = read
    section = work.ensembles.get(ensemble_id).sections[1]
    view = section_report(work, term_id, section.id, today)
    assert (view.lead, view.parts) == ((f"{section.name} has no results this term.",), ())


def test_who_is_not_there_has_no_report(read):
    work, _, term_id, today = read
    for ask in (
        lambda: section_report(work, term_id, 99, today),
        lambda: player_report(work, term_id, 9999, today),
        lambda: player_report(work, term_id, 1, today, only=(2,)),
        lambda: term_report(work, 99, today),
    ):
        with pytest.raises(NotFoundError):
            ask()


def bare_mark(result, entered):
    """A day's mark of the usual scheme, by hand: an own mark, else the section's; none for who was away."""
    section = next(mark for share, mark in STEPS if round(10000 * result.first_share) >= 100 * share)
    was_away = entered is not None and entered.attendance in (Attendance.ABSENT, Attendance.EXCUSED)
    if was_away:
        return section, None
    return section, entered.mark if entered is not None and entered.mark is not None else section


def test_a_players_marks_are_the_gradebooks_and_those_of_the_bare_results(read):
    work, ensemble_id, term_id, today = read
    assert work.terms.get(term_id).marks == MarkScheme()
    section = work.ensembles.get(ensemble_id).sections[0]
    results = {r.on: r for r in work.results.list_results(ensemble_id) if r.section_id == section.id}
    book = {row.id: row for row in read_term_marks(work, term_id, today=today).players}
    for player in some(section.players):
        view = player_report(work, term_id, player.id, today)
        entered = {m.on: m for m in work.results.marks(ensemble_id) if m.player_id == player.id}
        marks = {on: bare_mark(result, entered.get(on)) for on, result in results.items()}
        points = {point.on: point for point in picture_of(view, MarksPicture).days}
        assert {on: (p.section, p.mark) for on, p in points.items()} == marks
        own = [Fraction(mark) for _, mark in marks.values() if mark is not None]
        mean = sum(own) / len(own)
        assert book[player.id].term.mark == mean
        tenth = (Decimal(mean.numerator) / mean.denominator).quantize(Decimal("0.1"), ROUND_HALF_UP)
        assert view.lead[0].startswith(f"Mark of the term: {tenth} ")
        states = Counter(m.attendance for m in entered.values())
        assert f"{states[Attendance.ABSENT]} day" in view.lead[1]
        assert len(part_of(view, "Day by day").table.rows) == len(results)
        behind = {on for on, (section, mark) in marks.items() if mark is not None} - {
            on for on, each in entered.items() if each.mark is not None
        }
        rows = part_of(view, "The section's marks").table.rows
        assert [row[:2] for row in rows] == [(short_day(on), f"{marks[on][0]:.1f}") for on in sorted(behind)]


def test_a_players_report_has_their_whole_name_and_a_file_without_it(read):
    work, ensemble_id, term_id, today = read
    player = work.ensembles.get(ensemble_id).sections[0].players[0]
    view = player_report(work, term_id, player.id, today)
    assert (view.title, view.name) == (LONG.strip()[:200], f"player-{player.id}")


def test_the_terms_report_counts_attendance_meters_and_skills_of_the_bare_entries(read):
    work, ensemble_id, term_id, today = read
    view = term_report(work, term_id, today)
    states = Counter(m.attendance for m in work.results.marks(ensemble_id))
    there = states[Attendance.PRESENT] + states[Attendance.LATE]
    whole = there + states[Attendance.ABSENT]
    assert (
        f"{there} of {whole} times, excused ones ({states[Attendance.EXCUSED]}) left aside" in view.lead[-1]
    )
    results = work.results.list_results(ensemble_id)
    read_on = {r.on for r in results}
    slots = work.terms.plan(term_id).slots
    over = [slot.on for slot in slots if slot.on < today or slot.on in read_on]
    pieces = len({r.piece_id for r in results})
    were_read = f"{pieces} pieces were read on {len(read_on)} of {len(over)}"
    assert view.lead[0] == f"{were_read} reading days that are over."
    trained = Counter(slot.focus for slot in slots if slot.on in read_on)
    ahead = Counter(slot.focus for slot in slots if slot.on >= today and slot.on not in read_on)
    skills = part_of(view, "Skills")
    assert [(r.label, r.first, r.second) for r in skills.picture.rows] == [
        (f, trained[f], ahead[f]) for f in FOCUSES
    ]
    thin = [sentence.split(" is thin")[0].lower() for sentence in skills.sentences if " is thin" in sentence]
    assert set(FOCUSES[5:]) <= set(thin)
    assert all(trained[skill] < trained.total() for skill in thin)
    shares = {}
    for r in results:
        shares.setdefault((r.on, r.piece_id), []).append(r.first_share)
    table = part_of(view, "What was read").table.rows
    assert [row[-1] for row in table] == [str(round(100 * fmean(s))) for _, s in sorted(shares.items())]


def test_the_terms_report_gives_levels_as_the_pages_do_and_nobodys_name(read):
    work, ensemble_id, term_id, today = read
    ensemble, term = work.ensembles.get(ensemble_id), work.terms.get(term_id)
    view = term_report(work, term_id, today)
    pages = sections_over_term(work, ensemble, term, today)
    rows = picture_of(view, LevelsPicture).rows
    assert [row.label for row in rows] == [section.name for section in ensemble.sections]
    assert [row.end for row in rows] == [pages[section.id].now for section in ensemble.sections]
    text = repr(asdict(view))
    names = [player.name for section in ensemble.sections for player in section.players]
    assert not [name for name in some(names) if name in text]
    assert "Zoë" not in text


def test_a_term_of_few_readings_speaks_of_no_shares_and_one_of_none_has_nothing_to_cover():
    library, ensemble_id, term_id, today = make_read_term(weeks=3)
    with library() as work:
        few = part_of(term_report(work, term_id, today), "Skills").sentences[0]
        assert few.startswith("There are too few readings to speak of shares. Not trained yet:")
        for r in tuple(work.results.list_results(ensemble_id)):
            work.results.remove(r.section_id, r.piece_id, r.on)
        work.terms.save_plan(Plan(term_id, ()))
        view = term_report(work, term_id, today)
        assert view.lead[0] == "No results were entered yet."
        assert [part.heading for part in view.parts] == ["Levels"]
        first = work.terms.get(term_id).first
        assert term_report(work, term_id, first).lead[0] == "No reading day is over yet."
