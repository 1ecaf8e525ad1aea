"""The commands of the scoring form: chosen, shaped, filled in, asked about, shown and printed."""

import json

from tests.adapters.cli.test_attendance import day  # noqa: F401


def test_a_form_is_chosen_shaped_filled_in_and_printed(run, day):  # noqa: F811
    on, section, _ = day
    assert "has no scoring form" in run("form")[1]
    assert run("points", "Tone=1", "--on", on)[0] == 2
    assert "hundred: 100-point concert form" in run("form", "--list")[1]
    shaped = ("--caption", "Posture=10", "--band", "Posture=5 upright", "--rating", "100=Perfect")
    more = ("--counts", "100=99", "--deduction", "Late=5 10")
    assert run("form", "--begin-from", "hundred", *shaped, *more)[0] == 0
    _, text, _ = run("form", "--format", "json")
    form = json.loads(text)["form"]
    assert [each["name"] for each in form["captions"]][-1] == "Posture"
    assert form["ratings"][0] == {"border": "100", "word": "Perfect", "share": "0.99"}
    assert (form["deductions"][0]["least"], form["deductions"][0]["most"]) == ("5", "10")
    given = ("Sound and tuning=26", "ensemble technique=25,9", "Musicality=34", "Posture=Upright")
    code, _, why = run("points", *given, "--on", on, "--section", section)
    assert (code, "Posture" in why) == (2, True), "upright stands for 5 to 10"
    assert run("points", *given[:3], "Posture=5", "Late=5", "--on", on, "--section", section)[0] == 0
    _, text, _ = run("points", "--on", on, "--format", "json")
    (filled,) = [each for piece in json.loads(text)["pieces"] for each in piece["filled"]]
    assert (filled["section"], filled["total"], filled["rating"]) == (section, 85.9, "Superior")
    code, _, why = run("form", "--begin-from", "letters")
    assert (code, "--sure" in why) == (16, True)
    assert run("form", "--begin-from", "letters", "--sure")[0] == 0
    assert run("points", "--take-back", "--on", on, "--section", section)[0] == 0
    for wrong in (
        ("form", "--caption", "Nobody="), ("form", "--rating", "99="), ("form", "--band", "X=1 y"),
        ("form", "--begin-from", "x"), ("points", "Nobody=1", "--on", on), ("form", "--step", "3"),
    ):  # fmt: skip
        assert run(*wrong)[0] != 0, wrong
    for words in (("form", "--print"), ("points", "--on", on, "--print")):
        assert "Wrote" in run(*words)[1]
    assert run("form", "--begin-from", "none")[0] == 0
