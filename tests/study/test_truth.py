"""What the study says of a part, against the bare XML of the same file read a second time."""

import json
import re
import zipfile
from collections import Counter
from pathlib import Path
from xml.etree import ElementTree

import pytest

from planner.adapters.scores.reader import read_score
from planner.study.study import study
from tests.reference import reference_data, sampled

LIBRARY = Path(__file__).resolve().parents[2] / "sample_library"
SAMPLES = sorted(LIBRARY.glob("*.mxl"))
QUICK = {"lantern-street.mxl", "windmill.mxl", "theme-of-joy.mxl"}
SHARPS = "FCGDAEB"
DYNAMIC = re.compile(r"\b[mpfsrz]*[pf][mpfsrz]*\b")
"""A word made of the letters of dynamics: other words are put among the dynamics of some files."""


def bare_parts(path):
    """For each part of the file its ``measure`` elements."""
    with zipfile.ZipFile(path) as archive:
        name = next(n for n in archive.namelist() if n.endswith(("xml",)) and "META" not in n)
        root = ElementTree.fromstring(archive.read(name))
    return [part.findall("measure") for part in root.findall("part")]


def bare_dynamics(measures):
    """``(printed bar, mark)`` of every dynamic mark, and how many wedges open."""
    marks, wedges = Counter(), 0
    for measure in measures:
        for dynamics in measure.iter("dynamics"):
            names = [(mark.text or "") if mark.tag == "other-dynamics" else mark.tag for mark in dynamics]
            marks.update((measure.get("number"), name.strip()) for name in names if DYNAMIC.search(name))
        wedges += sum(w.get("type") in ("crescendo", "diminuendo") for w in measure.iter("wedge"))
    return marks, wedges


def bare_articulations(measures):
    return Counter(
        mark.tag
        for measure in measures
        for note in measure.findall("note")
        if note.find("chord") is None
        for marks in note.iter("articulations")
        for mark in marks
    )


def bare_foreign(measures):
    """``pitch name: (first printed bar, times struck)`` of the notes outside the signature; one staff.

    A head that is not printed, put there for the accidental over a trill, is not on the page.
    """
    fifths, found = 0, {}
    for measure in measures:
        for element in measure:
            if element.tag == "attributes" and element.find("key/fifths") is not None:
                fifths = int(element.findtext("key/fifths"))
            if element.tag != "note" or element.find("pitch") is None or element.find("cue") is not None:
                continue
            if element.get("print-object") == "no":
                continue
            if any(tie.get("type") == "stop" for tie in element.findall("tie")):
                continue
            step, alter = element.findtext("pitch/step"), int(float(element.findtext("pitch/alter") or 0))
            signed = SHARPS[:fifths] if fifths > 0 else SHARPS[::-1][: -fifths or None] if fifths < 0 else ""
            usual = (1 if fifths > 0 else -1) if step in signed else 0
            if alter != usual:
                name = step + ("#" * alter if alter > 0 else "b" * -alter)
                first, times = found.get(name, (measure.get("number"), 0))
                found[name] = (first, times + 1)
    return found


def check_file(path):
    """Compare every part; the number of values compared."""
    score, parts = read_score(path), bare_parts(path)
    profile = study(score)
    number = profile.measure_numbers
    compared = 0
    for source, part, measures in zip(score.parts, profile.parts, parts, strict=True):
        marks, wedges = bare_dynamics(measures)
        said = Counter(
            (number[d.measure], d.mark) for d in part.dynamics if d.mark not in ("crescendo", "diminuendo")
        )
        assert set(said) == set(marks), (part.name, "dynamics")
        assert all(said[place] <= count for place, count in marks.items()), (part.name, "dynamics")
        swells = [h for h in source.hairpins if not h.in_words]
        assert len(swells) == wedges, (part.name, "wedges")
        assert {a.name: a.count for a in part.articulations} == bare_articulations(measures), part.name
        compared += len(said) + wedges + len(part.articulations)
        if source.staves == 1:
            foreign = {a.pitch: (number[a.measure], a.times) for a in part.accidentals if a.kind == "first"}
            assert foreign == bare_foreign(measures), (part.name, "accidentals")
            compared += len(foreign)
    return compared


@pytest.mark.parametrize("path", [p for p in SAMPLES if p.name in QUICK], ids=lambda path: path.stem)
def test_what_is_said_of_a_sample_piece_is_in_its_file(path):
    assert check_file(path) > 100


@pytest.mark.slow
@pytest.mark.parametrize(
    "path", sampled((p for p in SAMPLES if p.name not in QUICK), 10), ids=lambda path: path.stem
)
def test_what_is_said_of_every_other_sample_piece_is_in_its_file(path):
    assert check_file(path) > 50


@pytest.mark.slow
def test_what_is_said_of_real_scores_is_in_their_files():
    data = reference_data() / "ensembles"
    every = [
        path for folder in ("orchestra", "string_quartet", "choir") for path in (data / folder).glob("*.mxl")
    ]
    paths = sampled(sorted(every), 8)
    assert paths
    assert sum(map(check_file, paths)) > 50 * len(paths)


def stated_groupings():
    """``(file, meter, grouping)`` for each irregular meter whose grouping the library's manifest states."""
    manifest = json.loads((LIBRARY / "manifest.json").read_text(encoding="utf-8"))
    for piece in manifest["pieces"] if isinstance(manifest, dict) else manifest:
        for meter in piece["meters"]:
            time, _, groups = meter.partition(":")
            if groups:
                yield piece["file"], time, tuple(int(group) for group in groups.split("+"))


def bare_beam_starts(measures, time):
    """How often a beam begins on each eighth of the full bars under a signature."""
    starts, divisions, current = Counter(), 1, ""
    for measure in measures:
        at = 0
        for element in measure:
            divisions = int(element.findtext("divisions") or divisions)
            if element.find("time") is not None:
                current = f"{element.findtext('time/beats')}/{element.findtext('time/beat-type')}"
            if element.tag == "backup":
                at -= int(element.findtext("duration"))
            if (
                element.tag != "note"
                or element.find("grace") is not None
                or element.find("chord") is not None
            ):
                continue
            if current == time and any(
                b.get("number") == "1" and b.text == "begin" for b in element.findall("beam")
            ):
                starts[at * 2 / divisions] += 1
            at += int(element.findtext("duration"))
    return starts


@pytest.mark.parametrize(("file", "time", "grouping"), stated_groupings())
def test_groupings_are_those_that_the_composer_states_and_the_bare_beams_show(file, time, grouping):
    profile = study(read_score(LIBRARY / file))
    assert {span.grouping for span in profile.meters if span.time == time} == {grouping}
    starts = Counter()
    for measures in bare_parts(LIBRARY / file):
        starts += bare_beam_starts(measures, time)
    edges = [sum(grouping[:at]) for at in range(len(grouping))]
    inside = sum(count for place, count in starts.items() if place in edges)
    assert starts
    assert inside > 0.8 * sum(starts.values())
