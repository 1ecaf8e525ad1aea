"""Results that do not count, where levels start, and a section's level over the term, on the pages."""

import re
from datetime import date, timedelta
from html import unescape

import pytest

from planner.adapters.web.shown import mark_of
from planner.core.ensemble import StartKind
from planner.core.term import Result, Term
from planner.services.levels.section_levels import refresh_levels, section_evidence
from tests.checks import some
from tests.conftest import TODAY


def text_of(response) -> str:
    return unescape(re.sub(r"\s+", " ", response.get_data(as_text=True)))


@pytest.fixture
def day(tools):
    """The next reading day and its piece."""
    with tools.work() as unit:
        plan = unit.terms.plan(1)
    on = min(slot.on for slot in plan.slots if slot.on >= TODAY)
    tools.today = lambda: on
    return on, plan.on(on)[0].piece_id


def results_of(tools, on):
    with tools.work() as unit:
        return {result.section_id: result for result in unit.results.list_results(1, on)}


def sections_of(tools):
    with tools.work() as unit:
        return {section.id: section for section in unit.ensembles.get(1).sections}


def form_of(client, on) -> dict[str, list[str]]:
    """The results form as a browser would send it back untouched."""
    page = client.get(f"/term/1/{on}/results").get_data(as_text=True)
    form = page[page.index('<form method="post" class="results-form"') : page.index("Save the results")]
    found: dict[str, list[str]] = {}
    for tag in re.findall(r"<input[^>]*>", form):
        name = re.search(r'name="([^"]*)"', tag)[1]
        value = re.search(r'value="([^"]*)"', tag)
        if 'type="checkbox"' not in tag or " checked" in tag:
            found.setdefault(name, []).append(unescape(value[1]) if value else "on")
    return found


def send(client, on, form, **changes):
    sent = {**form, **{name.replace("_", "-"): value for name, value in changes.items()}}
    sent = {name: value for name, value in sent.items() if value is not None}
    return text_of(client.post(f"/term/1/{on}/results", data=sent, follow_redirects=True))


def test_a_result_is_marked_and_taken_back_and_the_mark_survives(client, tools, day):
    on, piece = day
    before = sections_of(tools)[1]
    page = send(client, on, {"piece": piece}, first_1="20", out_1="on")
    assert "Saved 1 result. It does not count for the level. No level moves by a tenth." in page
    assert not results_of(tools, on)[1].counts
    assert sections_of(tools)[1] == before
    form = form_of(client, on)
    assert form["out-1"] == ["on"], "the box is ticked when the page is loaded again"
    assert "Nothing was changed." in send(client, on, form)
    page = send(client, on, form, out_1=None)
    assert "Flute moves down" in page
    assert results_of(tools, on)[1].counts
    assert "out-1" not in form_of(client, on)
    page = send(client, on, form_of(client, on), first_1="")
    assert "Took back 1 result. Flute moves up" in page
    assert results_of(tools, on) == {}
    assert sections_of(tools)[1].level == before.level


def test_the_same_form_sent_twice_counts_once(client, tools, day):
    on, _ = day
    form = {**form_of(client, on), "first-1": "20"}
    send(client, on, form)
    once = sections_of(tools), results_of(tools, on)
    page = send(client, on, form)
    assert "Saved 1 result. No level moves" in page
    assert (sections_of(tools), results_of(tools, on)) == once


def test_a_page_left_open_in_another_window_takes_nothing_back(client, tools, day):
    on, _ = day
    send(client, on, form_of(client, on), first_1="20", first_2="50")
    here, there = form_of(client, on), form_of(client, on)
    send(client, on, here, first_1="30", out_2="on")
    send(client, on, there, first_3="70", second_2="60")
    found = results_of(tools, on)
    assert {i: (r.first_share, r.second_share, r.counts) for i, r in found.items()} == {
        1: (0.3, None, True), 2: (0.5, 0.6, False), 3: (0.7, None, True),
    }  # fmt: skip


def test_a_share_that_is_no_whole_percent_stays_when_something_else_is_changed(client, tools, day):
    on, piece = day
    with tools.work() as unit:
        unit.results.put(Result(1, 1, piece, on, 0.825, note="windy", tempo_bpm=84.0))
        unit.commit()
    send(client, on, form_of(client, on), second_1="90")
    assert results_of(tools, on)[1] == Result(1, 1, piece, on, 0.825, 0.9, tempo_bpm=84.0, note="windy")


def test_a_piece_that_was_read_without_being_planned_can_be_corrected_on_the_day(client, tools, day):
    on, planned = day
    with tools.work() as unit:
        other = next(i for i in sorted(unit.pieces.titles()) if i != planned)
        title = unit.pieces.get(other).title
        unit.results.put(Result(1, 1, other, on, 0.4))
        unit.commit()
    page = text_of(client.get(f"/term/1/{on}/results"))
    assert f"{title}, not planned for this day" in page
    typed = {"shown": mark_of({"first-1": "40"}), "first-1": "55", "out-1": "on"}
    send(client, on, {"piece": other, **typed})
    assert results_of(tools, on)[1] == Result(1, 1, other, on, 0.55, counts=False)


def test_a_fire_drill_is_one_press_and_one_note(client, tools, day):
    on, _ = day
    form = {**form_of(client, on), **{f"first-{i}": str(40 + i) for i in sections_of(tools)}}
    before = {i: s.level for i, s in sections_of(tools).items()}
    page = send(client, on, form)
    assert page.count('role="status"') <= 2, "one note of what moved, one at most of what surprises"
    assert "Saved 17 results. Down: " in page
    page = send(client, on, form_of(client, on), mark="none")
    assert "Saved 17 results. None of them counts for the levels. Up: " in page
    assert {i: s.level for i, s in sections_of(tools).items()} == pytest.approx(before)
    page = send(client, on, form_of(client, on), mark="all")
    assert "Saved 17 results. Down: " in page
    assert all(result.counts for result in some(results_of(tools, on).values()))


def test_what_does_not_count_is_in_parentheses_in_the_gradebook(client, tools, day):
    on, piece = day
    send(client, on, {"piece": piece}, first_1="37", first_2="38", out_1="on")
    page = text_of(client.get("/gradebook/"))
    assert "(37)</span>" in page
    assert ">38</td>" in page
    assert "(38)" not in page
    assert "In parentheses: results that do not count for the level." in page


STARTS = {
    "years": ({"kind": "years", "years": "2"}, "from 2 years of playing"),
    "last year": (
        {"kind": "last year", "level": "2,4", "weeks": ""},
        "from level 2.4 at the end of last year",
    ),
    "placement": (
        {"kind": "placement", "level": "2.5", "bars_right": "80"},
        "from a placement reading: 80 of 100 bars right in a part of level 2.5",
    ),
}


@pytest.mark.parametrize("kind", STARTS)
def test_a_start_is_chosen_shown_and_taken_back(client, tools, kind):
    form, words = STARTS[kind]
    before = sections_of(tools)[1]
    page = text_of(client.post("/sections/1/start", data=form, follow_redirects=True))
    assert f"Flute starts {words}" in page
    started = sections_of(tools)[1]
    assert started.start_basis.kind == StartKind(kind)
    for address in ("/sections/1", "/sections/", "/sections/1/level"):
        assert words in text_of(client.get(address)), address
    again = text_of(client.post("/sections/1/start", data=form, follow_redirects=True))
    assert "Flute starts" in again
    assert sections_of(tools)[1] == started
    page = text_of(client.post("/sections/1/start/back", follow_redirects=True))
    assert "Taken back. Flute starts from your own number." in page
    assert sections_of(tools)[1] == before
    assert "Take the last change" not in text_of(client.get("/sections/1"))
    assert client.post("/sections/1/start/back").status_code == 409


@pytest.mark.parametrize(
    ("form", "sentence"),
    [
        ({"kind": "years", "years": ""}, "the number of years is missing"),
        ({"kind": "years", "years": "two"}, "Years must be a number, not “two”"),
        ({"kind": "placement", "level": "2", "bars_right": "140"}, "lie from 0 to 100, not 140"),
        ({"kind": "placement", "level": "2"}, "the share of bars right is missing"),
        ({"kind": "last year"}, "Flute has no results from before this term"),
        ({"kind": "stars"}, "the level is missing"),
    ],
)
def test_a_start_that_cannot_be_is_refused_in_a_sentence(client, tools, form, sentence):
    before = sections_of(tools)
    answer = client.post("/sections/1/start", data=form)
    assert answer.status_code == 422
    assert sentence in text_of(answer)
    assert sections_of(tools) == before


def test_a_new_number_in_the_form_and_its_undo(client, tools):
    before = sections_of(tools)[1]
    form = {"name-1": "Flute", "instrument-1": "Flute", "chair-1": "1", "size-1": "4", "level-1": "4.2"}
    client.post("/sections/1", data=form)
    assert sections_of(tools)[1].level == 4.2
    with tools.work() as unit:
        change = unit.changes.list_changes(1)[0]
    client.post(f"/changes/{change.id}/undo")
    assert sections_of(tools)[1] == before


@pytest.fixture
def surprised(tools):
    """Flute has read far below what is expected for weeks; two of the days do not count."""
    with tools.work() as unit:
        band, term = unit.ensembles.get(1), unit.terms.get(1)
        pieces = sorted(unit.pieces.titles())
        for n in range(12):
            share = 0.95 if n < 8 else 0.05
            on = term.first + timedelta(days=3 * n)
            unit.results.put(Result(1, 1, pieces[n % 3], on, share, counts=n not in (2, 3)))
        refresh_levels(unit, section_evidence(unit, band))
        unit.commit()
    return tools


def test_a_surprise_is_reported_where_the_level_is_shown(client, surprised):
    with surprised.work() as unit:
        trace = section_evidence(unit, unit.ensembles.get(1))[1].trace
    assert trace.misfit is not None
    for address in ("/sections/", "/sections/1", "/sections/1/level", "/sections/levels"):
        page = text_of(client.get(address))
        assert page.count("in a row lower than expected. A hard week, or is the level too high?") == 1, (
            address
        )


def test_a_skill_is_named_only_where_results_leave_no_doubt(client, tools):
    def read(days, problems):
        with tools.work() as unit:
            first, pieces = unit.terms.get(1).first, sorted(unit.pieces.titles())
            for n in range(days):
                result = Result(1, 1, pieces[n % 5], first + timedelta(days=3 * n), 0.75, problems=problems)
                unit.results.put(result)
            unit.commit()

    def sentence():
        with tools.work() as unit:
            trace = section_evidence(unit, unit.ensembles.get(1), only=1)[1].trace
        page = text_of(client.get("/sections/1/level"))
        assert ("Skill by skill" in page) is bool(trace.by_focus)
        return re.search(r"Rhythm: about [\d.]+ below its level \(went wrong \d+ times", page)

    assert sentence() is None
    read(1, ("rhythm",))
    assert sentence() is None
    read(20, ("rhythm",))
    assert sentence() is not None


def test_the_term_of_a_section_is_drawn_and_told(client, surprised):
    page = client.get("/sections/1/level").get_data(as_text=True)
    wide, narrow = (
        page[at : page.index("</svg>", at)] for at in starts_of(page, '<svg class="chart" viewBox="0 0 ')
    )
    rows = re.findall(r"<tr><th scope", page[page.index("<tbody>") :])
    for drawing in (wide, narrow):
        assert drawing.count('class="dot hollow"') == 2 * 2, "each is drawn above and below"
        assert len(re.findall(r'class="dot( hollow)?"', drawing)) == 2 * len(rows)
        assert drawing.count('class="expected"') == len(rows)
        assert drawing.count('class="level-line ahead"') == 1
        assert 'role="img"' in drawing
    assert text_of(client.get("/sections/1/level")).count("does not count</span>") == 2
    assert "<script" not in page
    assert not re.search(r'(src|href)="https?://', page)


def starts_of(page: str, beginning: str) -> list[int]:
    return [found.start() for found in re.finditer(re.escape(beginning), page)][:2]


def test_points_lie_within_their_drawing(client, surprised):
    page = client.get("/sections/1/level").get_data(as_text=True)
    drawings = re.findall(r'<svg class="chart" viewBox="0 0 (\d+) (\d+)"[^>]*>(.*?)</svg>', page, re.DOTALL)
    charts = [(float(w), float(h), body) for w, h, body in drawings if float(w) > 100]
    assert len(charts) == 2
    for width, height, body in charts:
        for x, y in some(re.findall(r'cx="([\d.-]+)" cy="([\d.-]+)"', body)):
            assert 0 <= float(x) <= width
            assert 0 <= float(y) <= height
        for x, y in some(re.findall(r"[ML]([\d.-]+) ([\d.-]+)", body)):
            assert 0 <= float(x) <= width
            assert 0 <= float(y) <= height


def test_all_sections_are_drawn_side_by_side_and_listed(client, tools):
    page = client.get("/sections/levels").get_data(as_text=True)
    sections = sections_of(tools)
    for i, section in some(sections.items()):
        assert f'href="/sections/{i}/level">{section.name}</a>' in page
        assert f'aria-label="Reading level of {section.name}, as in the table below"' in page


def test_a_name_with_signs_is_written_as_a_name(client, tools):
    form = {"name-1": 'Flute "A" <b>', "instrument-1": "flute", "size-1": "4", "level-1": "2.5"}
    client.post("/sections/1", data=form)
    for address in ("/sections/1/level", "/sections/levels"):
        page = client.get(address).get_data(as_text=True)
        assert "<b>" not in page.replace('<span class="level"><b>', "")
        assert "Flute &#34;A&#34; &lt;b&gt;" in page


def test_an_earlier_term_is_shown_when_it_is_asked_for(client, tools):
    with tools.work() as unit:
        term = unit.terms.get(1)
        early = Term(0, 1, "Spring term", date(2026, 3, 2), date(2026, 5, 30), (1,))
        early_id = unit.terms.add(early)
        unit.results.put(Result(1, 1, 1, date(2026, 3, 3), 0.9))
        unit.commit()
    page = text_of(client.get(f"/sections/1/level?term={early_id}"))
    assert ">Mar 3</a>" in page
    assert f'/sections/1/level?term={term.id}">{term.name}</a>' in page
    assert f"/sections/2/level?term={early_id}" in page
    assert ">Mar 3</a>" not in text_of(client.get("/sections/1/level"))
    assert "Spring term</strong>" in text_of(client.get(f"/sections/levels?term={early_id}"))
    assert client.get("/sections/levels?term=99").status_code == 404


def test_a_section_of_nobody_is_not_found(client):
    assert client.get("/sections/999/level").status_code == 404
    assert client.post("/sections/999/start", data={"kind": "years", "years": "2"}).status_code == 404
