"""The levels page: the picture, the director's word, instruments, and parts against sections."""

import re

import pytest

from planner.core.difficulty import FOCUSES
from planner.core.piece import PieceQuery
from tests.adapters.web.forms import details_of


def page_of(client, address):
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.get_data(as_text=True)


def number_of(tools, title):
    with tools.work() as unit:
        return unit.pieces.list_pieces(PieceQuery(text=title))[0][0].id


@pytest.fixture
def lantern(tools):
    return f"/library/{number_of(tools, 'Lantern Street')}/levels"


def test_the_picture_says_each_level_as_a_number_and_as_a_length(client, lantern):
    page = page_of(client, lantern)
    for name in FOCUSES:
        assert f"<th>{name.capitalize()}</th>" in page
    horn = re.search(r'<th scope="row">Horn in F</th>.*?</tr>', page, re.DOTALL).group()
    drawn = re.findall(r'class="bar-number">(?:<b>)?([\d.]+)', horn)
    lengths = [float(width) for width in re.findall(r'<rect x="0" y="1" width="([\d.]+)"', horn)]
    assert len(drawn) == len(lengths) == len(FOCUSES)
    assert all(
        length == pytest.approx(1 + (float(level) - 0.5) / 5.5 * 65, abs=0.7)
        for level, length in zip(drawn, lengths, strict=True)
    )
    assert horn.count("◆") == 1


def test_the_piece_page_leads_to_its_levels(client, lantern):
    assert f'href="{lantern}"' in page_of(client, lantern.removesuffix("/levels"))


def test_the_sections_stand_beside_their_parts_in_shapes_with_words(client, lantern):
    page = page_of(client, lantern)
    assert re.search(r'aria-label="Part \d\.\d, section \d\.\d"', page)
    assert "of the bars right" in page


def test_the_directors_level_is_kept_shown_and_taken_back(client, lantern, tools):
    answer = client.post(
        f"{lantern}/correct", data={"part": "Flute", "dimension": "rhythm", "level": "3.4"},
        follow_redirects=True,
    )  # fmt: skip
    page = answer.get_data(as_text=True)
    assert "Flute, rhythm: 3.4" in page
    assert "<h3>Learned from 1 correction:</h3>" in page
    assert "○" in re.search(r'<th scope="row">Flute</th>.*?</tr>', page, re.DOTALL).group()
    page = client.post(
        f"{lantern}/remove", data={"part": "Flute", "dimension": "rhythm"}, follow_redirects=True
    ).get_data(as_text=True)
    assert "Flute, rhythm: 3.4" not in page
    with tools.work() as unit:
        assert unit.corrections.levels() == ()


def test_the_piece_page_tells_the_directors_word_from_what_it_taught(client, lantern, tools):
    piece, other = lantern.removesuffix("/levels"), f"/library/{number_of(tools, 'Windmill')}"
    assert "the study says" not in page_of(client, other)
    client.post(f"{lantern}/correct", data={"level": "4.5"})
    assert "yours; the study says" in page_of(client, piece)
    taught = page_of(client, other)
    assert "in the light of your corrections" in taught
    assert "yours; the study says" not in taught
    number = int(other.rsplit("/", 1)[1])
    client.post(f"{other}/correct", data=details_of(client, number, composer=""))
    with tools.work() as unit:
        assert [(c.piece_id, c.level) for c in unit.corrections.levels()] == [(int(piece.split("/")[2]), 4.5)]


def test_a_level_off_the_scale_is_refused_in_a_sentence(client, lantern):
    answer = client.post(f"{lantern}/correct", data={"level": "7"})
    assert answer.status_code == 422
    assert "from 0.5 to 6, not 7" in answer.get_data(as_text=True)
    assert client.post(f"{lantern}/correct", data={}).status_code == 422


def test_a_piece_that_is_not_there_is_not_found(client):
    assert client.get("/library/999/levels").status_code == 404
    assert client.get("/library/999/levels/checks").status_code == 404


def test_an_instrument_set_by_hand_is_studied_and_marked(client, lantern, tools):
    page = client.post(
        f"{lantern}/instrument", data={"part": "Oboe", "instrument": "flute"}, follow_redirects=True
    ).get_data(as_text=True)
    assert "Oboe is studied again." in page
    assert re.search(r"<dt>Oboe</dt><dd>Flute <span[^>]*>your word</span>", page)
    piece_id = int(lantern.split("/")[2])
    with tools.work() as unit:
        assert unit.pieces.profile(piece_id).part("Oboe").instrument == "flute"


def test_every_part_is_checked_for_its_section_with_bars_and_what_would_mend_it(client, lantern):
    assert "What makes it hard" in page_of(client, lantern)
    page = page_of(client, f"{lantern}/checks")
    assert "What would help" in page
    assert re.search(r"<b>[\w ]+ \(level [\d.]+\)</b>: \d+ notes? too (high|low) in bars? \d+", page)
    assert page.count("Notes out of comfortable reach") == 1, "one line a problem"


def test_parts_nobody_reads_are_named_with_who_covers_them(client, lantern, tools):
    with tools.work() as unit:
        band = unit.ensembles.list_ensembles()[0]
        spare = next(section for section in band.sections if section.name == "Tuba")
    page = page_of(client, f"{lantern}/checks")
    assert "Nobody reads" not in page
    client.post(f"/sections/{spare.id}", data={
        f"instrument-{spare.id}": "harp", f"level-{spare.id}": "2.0"})  # fmt: skip
    page = page_of(client, f"{lantern}/checks")
    assert "Nobody reads Tuba" in page
    assert re.search(r"doubles \d+% of Tuba", page)


def test_a_piece_is_held_against_published_limits_with_three_answers_in_words(client, lantern, tools):
    assert f'href="{lantern}/criteria"' in page_of(client, lantern)
    choice = page_of(client, f"{lantern}/criteria")
    assert 'option value="fba-md"' in choice
    assert "What was found" not in choice
    folder = tools.settings.home / "criteria"
    folder.mkdir()
    (folder / "ours.toml").write_text(
        '[[set]]\nname = "ours"\ntitle = "Our own"\nmeasures = [1, 500]\nmeters = ["5/4"]\n'
        'ranges = { harp = ["C2", "C6"] }\n',
        encoding="utf-8",
    )
    page = page_of(client, f"{lantern}/criteria?set=ours")
    rows = re.findall(r'<th scope="row">([^<]+)<br>.*?<b>(.*?)</b>.*?</tr>', page, re.DOTALL)
    assert rows == [
        ("Number of bars", "✓ Met"), ("Meters", "✕ Broken"), ("Written ranges", "? Cannot be judged"),
    ]  # fmt: skip
    assert "1 of 3 limits broken, 1 cannot be judged." in page
    assert "<li>No part is for Harp.</li>" in page
    assert '<option value="ours" selected>Our own</option>' in page


def test_a_set_or_piece_that_is_not_there_is_not_found_and_a_bad_file_is_named(client, lantern, tools):
    assert client.get(f"{lantern}/criteria?set=nowhere").status_code == 404
    assert client.get("/library/999/levels/criteria").status_code == 404
    folder = tools.settings.home / "criteria"
    folder.mkdir()
    (folder / "ours.toml").write_text('[[set]]\nname = "ours"\nmeters = 4\n', encoding="utf-8")
    answer = client.get(f"{lantern}/criteria")
    assert answer.status_code == 422
    assert "ours.toml" in answer.get_data(as_text=True)
