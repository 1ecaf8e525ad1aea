"""The page of the metronome, and the bars that its script fetches."""

from planner.errors import DrawingBusyError, ScoreReadError
from tests.checks import some


def test_the_page_of_a_piece_leads_to_its_metronome_and_that_to_its_bars(client):
    assert 'href="/library/1/beat"' in client.get("/library/1").text
    assert 'data-beat="/library/1/beat.json"' in client.get("/library/1/beat").text
    found = client.get("/library/1/beat.json").get_json()
    assert found["sections"][0]["bars"]
    assert found["opening"]["first"] > 0
    for each in some(found["keys"]):
        assert 48 <= each["tonic"] < 60
    assert client.get("/library/999/beat.json").status_code == 404


def test_a_score_that_cannot_be_read_now_or_at_all_is_said(client, tools):
    class Refusing:
        error: Exception = DrawingBusyError("score", "busy")

        def bar_lengths(self, _clean):
            raise self.error

        def close(self):
            pass

    refusing = tools.engraver = Refusing()
    assert client.get("/library/1/beat.json").status_code == 503
    refusing.error = ScoreReadError("score", "gone")
    found = client.get("/library/1/beat.json").get_json()
    assert (found["sections"], len(found["remarks"])) == ([], 1)


def test_questions_for_the_room_stand_on_the_page_of_a_piece_their_answers_folded(client):
    page = client.get("/library/1").text
    assert "Questions for the room" in page
    assert page.count("<summary>") > 20
    own = client.get("/library/1?part=Flute").text
    asked = own.split('<div class="ask">')[1].split("</div>")[0]
    assert '<details class="who" open><summary>Flute: ' in asked
    assert "Oboe: " not in asked
