"""Who was there on a reading day: entered on its page, held against others, asked about, taken back."""

import pytest

from tests.adapters.web.accounts import add_people, browser_of
from tests.adapters.web.forms import fields_of, text_of, undo, with_values

DAY, QUIET_DAY, TO_COME = "/term/1/2026-11-19/attendance/", "/term/1/2026-11-18/attendance/", "2026-12-01"


def known(tools, on="2026-11-19"):
    with tools.work() as work:
        return {m.player_id: m for m in work.results.marks(1) if str(m.on) == on}


def form(client, address=DAY):
    page = text_of(client.get(address))
    return fields_of(page[page.index('<form method="post" autocomplete') :])


def test_who_was_away_is_ticked_the_rest_counts_as_there_and_undo_puts_back(client, tools):
    before = known(tools)
    sent = form(client)
    seats = sent.getlist("seat")
    assert len(seats) == len(before) > 10
    away = next(seat for seat in seats if before[int(seat)].is_present)
    answer = client.post(DAY, data=with_values(sent, **{f"away-{away}": "on", f"mark-{seats[-1]}": "92"}))
    assert answer.status_code == 302
    after = known(tools)
    assert not after[int(away)].is_present
    assert after[int(seats[-1])].mark == 92
    changed = {seat for seat in after if after[seat] != before[seat]}
    assert changed == {int(away), int(seats[-1])}, "the others stay as they were"
    page = text_of(client.get("/changes/"))
    assert "on Nov 19: " in page
    assert "away (was there)" in page
    undo(client, tools)
    assert known(tools) == before
    undo(client, tools)
    assert known(tools) == after, "an undo can be undone"


def test_a_day_of_which_nothing_is_known_is_saved_as_all_there_after_a_question(client, tools):
    sent = form(client, QUIET_DAY)
    answer = client.post(QUIET_DAY, data=sent)
    page = text_of(answer)
    assert answer.status_code == 409
    assert "November 18, 2026 is not a reading day; the nearest one is November 17, 2026." in page
    assert not known(tools, "2026-11-18")
    again = fields_of(page[page.index('<form method="post" autocomplete') :])
    assert client.post(QUIET_DAY, data=again).status_code == 302
    stored = known(tools, "2026-11-18")
    assert len(stored) == len(sent.getlist("seat"))
    assert all(mark.is_present for mark in stored.values())
    undo(client, tools)
    assert not known(tools, "2026-11-18")


def test_two_at_one_day_see_both_and_nothing_is_overwritten(client, tools):
    mine, theirs = form(client), form(client)
    seat = next(s for s in mine.getlist("seat") if known(tools)[int(s)].is_present)
    assert client.post(DAY, data=with_values(theirs, **{f"mark-{seat}": "70"})).status_code == 302
    answer = client.post(DAY, data=with_values(mine, **{f"mark-{seat}": "95"}))
    assert answer.status_code == 409
    assert "Stored now: <strong>70</strong>" in text_of(answer)
    assert known(tools)[int(seat)].mark == 70


@pytest.mark.parametrize(
    ("mark", "sentence"),
    [
        ("0.85", "a mark of 0.85 is less than one of 100. If 85 is meant, write 85."),
        ("850", "a mark lies from 0 to 100, not at 850."),
        ("nan", "a mark lies from 0 to 100, not at nan."),
        ("good", "A mark must be a number, not “good”."),
    ],
)
def test_a_mark_that_cannot_be_comes_back_with_the_reason(client, tools, mark, sentence):
    before, sent = known(tools), form(client)
    seat = sent.getlist("seat")[0]
    answer = client.post(DAY, data=with_values(sent, **{f"mark-{seat}": mark}))
    assert (answer.status_code, sentence in text_of(answer)) == (422, True)
    assert f'value="{mark}"' in text_of(answer)
    assert known(tools) == before


def test_a_day_to_come_is_not_entered(client, tools):
    address = f"/term/1/{TO_COME}/attendance/"
    assert "Enter it once the day has come." in text_of(client.get(address))
    answer = client.post(address, data={"seat": "1"})
    assert answer.status_code == 422
    assert "December 1, 2026 is still to come" in text_of(answer)
    assert not known(tools, TO_COME)


def test_a_section_leader_sees_and_enters_their_own_players_alone(app, tools):
    with tools.work() as work:
        flute, oboe, *_ = work.ensembles.list_ensembles()[0].sections
    add_people(tools, flute.id)
    leader = browser_of(app, "Lee Flute")
    page = text_of(leader.get(DAY))
    assert all(player.name in page for player in flute.players)
    assert not any(player.name in page for player in oboe.players)
    before = known(tools)
    assert leader.post(DAY, data={"seat": str(oboe.players[0].id)}).status_code == 403
    assert known(tools) == before
