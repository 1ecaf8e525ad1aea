"""Play order on music21's corpus against music21's own expander: the same, or the difference explained."""

import warnings
import zipfile
from pathlib import Path

import music21
import partitura
import pytest

from planner.adapters.scores.reader import read_score
from planner.study.roadmap.marks import merged_marks
from planner.study.roadmap.passages import find_passages
from planner.study.roadmap.play_order import find_play_order
from tests.reference import reference_data, sampled

MARKS = ("<repeat", "<ending", "dacapo", "dalsegno", "tocoda", "fine=", "<segno", "<coda")
MOST_CHARACTERS = 700_000
"""Larger files take music21 minutes to parse."""

NO_JUMP = "the D.C. stands on the page as words, which music21 passes over"
NO_ENDING = "an ending lacks its start, so music21 does not expand the score at all"
EXPLAINED = {
    "mozart/k80/movement3.mxl": NO_JUMP,
    "mozart/k80/movement4.mxl": NO_JUMP,
    "mozart/k156/movement3.mxl": NO_JUMP,
    "haydn/opus1no1/movement4.mxl": NO_JUMP,
    "schumann_clara/polonaise_op1n1.mxl": NO_JUMP,
    "schumann_clara/polonaise_op1n2.mxl": NO_JUMP,
    "schumann_clara/polonaise_op1n3.mxl": NO_JUMP,
    "schumann_clara/polonaise_op1n4.mxl": NO_JUMP,
    "mozart/k458/movement2.mxl": NO_ENDING,
    "haydn/opus74no1/movement3.mxl": NO_ENDING,
    "joplin/maple_leaf_rag.mxl": "its first strain lacks the second ending; music21 then plays it once",
}
"""Files on which the orders differ, and why ours is the one to play."""


def text_of(path):
    if path.suffix != ".mxl":
        return path.read_text(encoding="utf-8", errors="replace")
    with zipfile.ZipFile(path) as archive:
        names = [n for n in archive.namelist() if n.endswith(("xml",)) and "META" not in n]
        return archive.read(names[0]).decode("utf-8", errors="replace")


ROOT = Path(music21.__file__).parent / "corpus"


def corpus_files():
    for path in sorted(ROOT.rglob("*")):
        if path.suffix in (".mxl", ".xml", ".musicxml"):
            text = text_of(path)
            if len(text) < MOST_CHARACTERS and any(mark in text for mark in MARKS):
                yield path


SECOND_READERS = ("songs", "roman_numerals_ccbysa", "difficulty")
MOST_BARS = 400
"""Larger scores, bars of all parts together, take the two readers too long."""
UNEVEN = "its first part lacks the last bar, and the two readers look at that part alone"
EXPLAINED_SONGS = {"Lord_God_Thy_Praise_We_Sing_Herr_Gott_dich_Loben_Wir.mxl": UNEVEN}
"""Files on which music21 and partitura agree on another order, and why ours is the one to play."""


def unfolded(path):
    """Written positions in partitura's order, repeats not taken again after a jump; None where it fails."""
    try:
        part = partitura.load_musicxml(path).parts[0]
        positions = {measure.number: at for at, measure in enumerate(part.measures)}
        return [positions[m.number] for m in partitura.score.unfold_part_maximal(part).measures]
    except IndexError:
        return None


def expanded(path, score, *, write_starts):
    """Written positions in music21's order; with the starts written in where a closing bar lacks one."""
    part = music21.converter.parse(path, forceSource=True).parts[0]
    measures = list(part.getElementsByClass("Measure"))
    for position, measure in enumerate(measures):
        measure.editorial.position = position
    if write_starts:
        marks = merged_marks(score.marks)
        printed = {mark.measure for mark in marks if mark.kind == "repeat-start"}
        for passage in find_passages(marks, len(score.measures)):
            if passage.ends and passage.first not in printed:
                measures[passage.first].leftBarline = music21.bar.Repeat(direction="start")
    expander = music21.repeat.Expander(part)
    if not expander.isExpandable():
        return None
    return [m.editorial.position for m in expander.process().getElementsByClass("Measure")]


@pytest.mark.slow
def test_orders_agree_with_music21_or_the_difference_is_explained():
    every = list(corpus_files())
    assert len(every) >= 201
    files = sampled(every, 40)
    expected = set(EXPLAINED) & {path.relative_to(ROOT).as_posix() for path in files}
    same, unexplained, told = 0, [], set()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for path in files:
            score = read_score(path)
            ours = list(find_play_order(score).play_order)
            name = path.relative_to(ROOT).as_posix()
            # music21 sends a closing bar without an opening one to the very beginning, even past an earlier
            # repeat; to just after that repeat is common practice (deekor.com, lesson 29 "Repeats").
            if any(ours == expanded(path, score, write_starts=way) for way in (False, True)):
                same += 1
            elif name in EXPLAINED:
                told.add(name)
            else:
                unexplained.append(name)
    assert not unexplained
    assert told == expected
    assert same == len(files) - len(expected)


@pytest.mark.slow
def test_where_music21_and_partitura_agree_the_order_is_theirs_or_the_difference_is_explained():
    root = reference_data()
    files = [p for folder in SECOND_READERS for p in sorted((root / folder).rglob("*.mxl"))]
    agreed, other = 0, {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for path in sampled(files, 120):
            score = read_score(path)
            if not score.marks or len(score.measures) * len(score.parts) > MOST_BARS:
                continue
            theirs = expanded(path, score, write_starts=False)
            if theirs is None or theirs != unfolded(path):
                continue
            agreed += 1
            if list(find_play_order(score).play_order) != theirs:
                other[path.name] = theirs
    assert agreed >= 8
    assert not other.keys() - EXPLAINED_SONGS.keys()
