"""The page of a piece: facts first, each statement with its bars, the score page by page."""

import html
import re
import shutil

import pytest

from planner.adapters.web.app import create_app
from planner.adapters.web.music import NOT_DRAWN
from planner.errors import DrawingBusyError, ScoreReadError
from planner.services.piece_page.passages import MOST_BARS
from tests.checks import some
from tests.conftest import wired

PIECE = "/library/1"


@pytest.fixture(scope="module")
def tools(demo_home, tmp_path_factory):
    """One copy of the demo's home for all tests here, which look and change nothing that another looks at."""
    box = wired(shutil.copytree(demo_home, tmp_path_factory.mktemp("piece") / "home"))
    yield box
    box.close()


@pytest.fixture(scope="module")
def client(tools):
    app = create_app(tools)
    app.config.update(TESTING=True, WTF_CSRF_ENABLED=False)
    app.config["PROPAGATE_EXCEPTIONS"] = False
    return app.test_client()


@pytest.fixture
def asked(tools, monkeypatch):
    """What drawings are asked for; none is made."""
    requests = []

    class Listening:
        def engrave(self, _clean, **request):
            requests.append(request)
            return "<svg/>", request["end_measure"]

        def page_starts(self, _clean, *, part, **_size):
            return (0, 4, 8) if part is None else (0, 12)

    monkeypatch.setattr(tools, "engraver", Listening())
    return requests


def get(client, address, status=200):
    answer = client.get(address)
    assert answer.status_code == status
    return html.unescape(answer.get_data(as_text=True))


def pictures(page):
    """Addresses of the bars drawn in a page, in its order."""
    return re.findall(r'<img src="(/library/\d+/bars/[^"]*)"', page)


def shown(page):
    """What the page of a score shows, as first and last measure."""
    (address,) = pictures(page)
    return tuple(map(int, re.search(r"/bars/(\d+)-(\d+)\.svg", address).groups()))


def test_the_facts_that_a_director_asks_first_come_first(client):
    page = get(client, PIECE)
    head = page[page.index("<h1>") : page.index("The study")]
    labels = [
        "Level for",
        "Playing time",
        "First reading at",
        "Meter",
        "Home key",
        "Fresh for",
        "Shelf",
        "Rights",
    ]
    for label in [*labels, "Parts nobody reads"]:
        assert f"<dt>{label}" in head
    assert head.index("Level for") < head.index("opening.svg")


def test_the_picture_beside_each_sentence_shows_the_bars_of_its_first_place(client, tools):
    with tools.work() as work:
        numbers = work.pieces.profile(1).measure_numbers
    checked = 0
    for one in get(client, f"{PIECE}?part=Flute").split('<div class="says">')[1:]:
        found = re.search(r"<p>Bars? (\d+)(?:–(\d+))?(?:, at \w+)?: ", one)
        heard = re.search(r'<div class="heard">.*?</div>', one, re.DOTALL)
        if found and heard:
            first, last = shown(heard[0])
            assert first <= numbers.index(found[1]) <= last
            assert numbers.index(found[2] or found[1]) <= last or last == first + MOST_BARS - 1
            checked += 1
    assert checked >= 2


def test_every_picture_of_a_page_is_drawn_for_desk_and_phone(client, asked):
    page = get(client, f"{PIECE}?part=Flute")
    assert client.get(some(pictures(page))[0]).mimetype == "image/svg+xml"
    narrow = re.findall(r'srcset="([^"]*)"', page)
    client.get(some(narrow)[0])
    at_desk, on_phone = asked
    assert at_desk["width_mm"] > 1.8 * on_phone["width_mm"]
    assert {**at_desk, "width_mm": 0} == {**on_phone, "width_mm": 0}
    assert 0 in at_desk["part"]


def test_a_sentence_says_where_it_comes_from_and_leads_to_the_score(client):
    page = get(client, f"{PIECE}?part=Flute")
    assert "On the player’s sheet" in page
    assert page.count("Where this comes from") == page.count('class="says"') > 10
    assert re.search(r'<a href="/library/1/score\?part=1&at=\d+-\d+">bars? \d', page)


def test_the_score_is_turned_page_by_page(client, asked):
    first = get(client, f"{PIECE}/score")
    assert "Page 1 of 3" in first
    assert "Previous page" not in first
    assert shown(first) == (0, 3)
    second = get(client, re.search(r'rel="next" href="([^"]*)"', first)[1])
    assert shown(second) == (4, 7)
    assert "page=1" in re.search(r'rel="prev" href="([^"]*)"', second)[1]
    last = get(client, f"{PIECE}/score?page=99")
    assert "Page 3 of 3" in last
    assert "Next page" not in last
    client.get(pictures(second)[0])
    assert (asked[-1]["measure"], asked[-1]["end_measure"], asked[-1]["part"]) == (4, 7, None)


def test_a_part_is_turned_as_its_player_sees_it(client, asked):
    page = get(client, f"{PIECE}/score?part=2")
    assert "as its player reads it" in page
    assert "Page 1 of 2" in page
    client.get(pictures(page)[0])
    assert asked[-1]["part"] == (1,)


def test_going_to_a_bar_opens_its_page_and_tints_it(client, asked):
    page = get(client, f"{PIECE}/score?bar=6")
    assert shown(page) == (4, 7)
    client.get(pictures(page)[0])
    assert asked[-1]["tinted"] == (5, 5)
    assert shown(get(client, f"{PIECE}/score?bar=Bar 06")) == (4, 7)
    assert shown(get(client, f"{PIECE}/score?at=8-9")) == (8, shown(get(client, f"{PIECE}/score?page=3"))[1])


@pytest.mark.parametrize("bar", ["999", "²", "<b>", "1" * 60])
def test_a_bar_that_is_not_there_is_refused_beside_its_field(client, asked, bar):
    page = get(client, f"{PIECE}/score?bar={bar}")
    assert "There is no bar" in page
    assert "Its bars go from 1 to" in page
    assert 'aria-invalid="true"' in page
    assert shown(page)[0] == 0
    assert "<b>" not in page.split("fault")[0].split("Go to bar")[0]


def test_a_score_that_cannot_be_drawn_is_one_sentence_and_no_blank(client, tools, monkeypatch):
    class Broken:
        def engrave(self, *_args, **_request):
            raise ScoreReadError("a", "it cannot")

        page_starts = engrave

    monkeypatch.setattr(tools, "engraver", Broken())
    assert "The score cannot be drawn" in get(client, f"{PIECE}/score")
    picture = client.get(f"{PIECE}/bars/0-3.svg?part=0")
    assert (picture.mimetype, NOT_DRAWN in picture.get_data(as_text=True)) == ("image/svg+xml", True)
    assert get(client, f"{PIECE}?part=Flute").count('class="says"') > 10


def test_a_drawing_for_which_there_is_no_room_now_is_asked_for_again(client, tools, monkeypatch):
    class Busy:
        def engrave(self, *_args, **_request):
            raise DrawingBusyError("a", "too many others are under way")

        page_starts = engrave

    monkeypatch.setattr(tools, "engraver", Busy())
    for address in (f"{PIECE}/bars/0-3.svg", f"{PIECE}/opening.svg"):
        answer = client.get(address)
        assert (answer.status_code, answer.headers["Retry-After"], answer.get_data()) == (503, "2", b"")
    assert "Reload this page in a moment" in get(client, f"{PIECE}/score")
    assert "music.js" in get(client, PIECE)


@pytest.mark.parametrize(
    "asked_for", ["0-99999.svg", "7-3.svg", "0-3.svg?part=99", "0-3.svg?tinted=x-y&width=9"]
)
def test_bars_that_are_not_there_are_a_sentence_and_nothing_breaks(client, asked_for):
    picture = client.get(f"{PIECE}/bars/{asked_for}")
    assert (picture.status_code, picture.mimetype) == (200, "image/svg+xml")


@pytest.mark.parametrize("number", ["nan", "1e999", "²", "9" * 40])
def test_a_page_or_part_that_is_no_number_is_the_first_page_of_the_score(client, asked, number):
    page = get(client, f"{PIECE}/score?page={number}&part={number}&at={number}-{number}")
    assert (shown(page)[0], "The full score" in page) == (0, True)
    assert asked == []


def test_a_part_that_is_no_number_and_a_piece_that_is_not_there_are_not_found(client):
    get(client, f"{PIECE}/bars/0-3.svg?part=flute", 404)
    get(client, "/library/999/bars/0-3.svg", 404)
    get(client, "/library/999/score", 404)


def test_a_piece_on_paper_has_facts_and_no_score(client):
    client.post("/library/catalog/enter", data={"title": "Old Mill", "minutes": "3", "parts": "Flute"})
    address = re.search(r'href="(/library/\d+)"[^>]*>Old Mill', get(client, "/library/?text=Old Mill"))[1]
    page = get(client, address)
    assert "<dt>Fresh for" in page
    assert "/score" not in page
    assert "It is only on paper." in get(client, f"{address}/score", 404)
    assert NOT_DRAWN in get(client, f"{address}/bars/0-3.svg")
