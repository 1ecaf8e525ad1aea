"""Questions for the room at the command line."""

import json


def test_questions_are_printed_for_everyone_and_by_part_with_their_answers(run):
    code, out, _ = run("questions", "Lightly Row")
    assert code == 0
    assert out.startswith("Everyone\n")
    assert "\nFlute\n" in out
    assert "How many sharps or flats are in your key signature" in out
    code, of_one, _ = run("questions", "Lightly Row", "--part", "flute", "--level", "easy")
    assert code == 0
    assert of_one.startswith("Flute\n")
    assert "(easy)" in of_one
    assert "(hard)" not in of_one


def test_questions_come_as_json_and_an_unknown_part_is_named(run):
    code, out, _ = run("questions", "Lightly Row", "--format", "json")
    found = json.loads(out)
    assert (code, found["format"], found["groups"][0]["part"]) == (0, "room-questions", "")
    assert set(found["groups"][0]["questions"][0]) == {"question", "answer", "level"}
    code, _, err = run("questions", "Lightly Row", "--part", "Kazoo")
    assert code == 3
    assert "Kazoo" in err
    assert "Flute" in err
