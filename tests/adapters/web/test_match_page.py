"""What we can read: the grid, its filters and order in the address, why not, and pinning from there."""

import re
from html import unescape

from planner.levels.readable import verdict_of
from planner.services.levels.index import index_levels
from planner.services.match.match_grid import PAGE_ROWS
from planner.services.toolbox import changing
from tests.checks import some
from tests.conftest import TODAY
from tests.fakes import make_source


def text_of(response) -> str:
    return unescape(re.sub(r"\s+", " ", response.get_data(as_text=True)))


def titles_in(page: str) -> list[str]:
    return re.findall(r'<tbody class="row".*?<a href="/library/\d+">([^<]*)</a>', page)


def test_each_cell_says_share_and_verdict_by_shape_word_and_title(client, tools):
    page = text_of(client.get("/match/?show=all"))
    cells = re.findall(
        r'<td class="fit-cell ([a-z-]+)" title="([^"]*)"><svg class="fit ([a-z-]+)".*?<span>(\d+)</span>'
        r'<span class="unseen"> ([a-z ]+)</span>',
        page,
    )
    with tools.work() as unit:
        sections = unit.ensembles.get(1).sections
    assert len(cells) > len(sections)
    for shade, title, shape, share, word in cells:
        assert shade == shape == word.replace(" ", "-")
        assert f"about {share}% of the bars right, {word}." in title
        at_a_point = {str(verdict_of(int(share) / 100 + off)) for off in (-0.005, 0.0, 0.005)}
        assert word in at_a_point
    assert re.findall(r'class="section"[^>]*><span>([^<]*)<', page) == [section.name for section in sections]


def test_pieces_left_out_say_why(client, tools):
    with tools.work() as unit:
        met, titles = {e.piece_id for e in unit.ensembles.exposures(1)}, unit.pieces.titles()
    page = text_of(client.get("/match/?show=left-out"))
    for piece in some(met):
        row = page[page.index(f'id="piece-{piece}"') :]
        assert re.search(r"<li>[^<]* (performed|rehearsed|read|heard) it", row[: row.index("</tbody>")])
    assert not {titles[piece] for piece in met} & set(titles_in(text_of(client.get("/match/"))))
    assert {titles[piece] for piece in met} <= set(titles_in(text_of(client.get("/match/?show=all"))))


def test_headings_sort_and_the_same_again_turns_it_round(client):
    page = text_of(client.get("/match/?show=all"))
    (href,) = re.findall(r'<a href="([^"]*)">Piece', page)
    one = text_of(client.get(href))
    assert 'aria-sort="ascending"' in one
    assert titles_in(one) == sorted(titles_in(page), key=str.casefold)
    (href,) = re.findall(r'<a href="([^"]*)">Piece', one)
    assert titles_in(text_of(client.get(href))) == titles_in(one)[::-1]


def test_filters_stay_in_the_form_and_odd_ones_do_no_harm(client):
    page = text_of(client.get("/match/?show=all&focus=key&minutes=30&text=a&fresh=-1&order=level"))
    assert "<option selected>key</option>" in page
    assert 'name="minutes" min="1" max="120" step="1" value="30"' in page
    assert 'name="order" value="level"' in page
    assert re.search(r'<option value="-1" selected>', page)
    odd = client.get("/match/?show=nonsense&order=nonsense&focus=nonsense&fresh=999")
    assert odd.status_code == 200
    for unusable in ("minutes=long", "offset=-5"):
        assert client.get(f"/match/?{unusable}").status_code == 422
    assert "No piece here fits" in text_of(client.get("/match/?text=no-such-piece"))


def test_a_piece_is_pinned_to_a_day_from_there(client, tools):
    with tools.work() as unit:
        slot = max(unit.terms.plan(1).slots, key=lambda slot: slot.on)
    piece, on = slot.piece_id, slot.on
    page = text_of(client.get("/match/?show=all"))
    row = page[page.index(f'id="piece-{piece}"') :]
    assert f'<option value="{on}"' in row[: row.index("</tbody>")]
    answer = client.post("/term/1/wish", data={"piece": piece, "on": str(on), "do": "pin", "anyway": "1"})
    assert answer.status_code == 302
    with tools.work() as unit:
        assert [(w.piece_id, w.on) for w in unit.terms.wishes(1) if w.kind == "pinned"] == [(piece, on)]


def test_a_large_library_makes_no_larger_page(client, tools):
    with changing(tools.work) as unit:
        like = unit.pieces.profile(1)
        new = [unit.pieces.add(make_source(f"copy {n}"), like, TODAY) for n in range(90)]
        index_levels(unit, new)
    first = client.get("/match/?show=all")
    assert len(titles_in(text_of(first))) == PAGE_ROWS
    (following,) = re.findall(r'<a href="([^"]*)" rel="next">', text_of(first))
    second = text_of(client.get(following))
    assert f"{PAGE_ROWS + 1} to {2 * PAGE_ROWS} of" in second
    assert 'rel="prev"' in second
