"""Other libraries read the same files: parts, bars, struck heads and pitches agree, or a table says why.

MusicXML is read again by music21, partitura and verovio; kern by verovio and, where
verovio gives up, by partitura; ABC heads are counted from the text. Every difference
is in ``EXPLAINED`` with who is right and why; a new one fails, and so does one that is gone.
"""

import random
from pathlib import Path

import pytest

from planner.adapters.scores.reader import read_score, read_scores
from planner.errors import ScoreReadError
from tests.adapters.scores import witnesses
from tests.reference import reference_data

SEED = 20260901
FOLDERS = ("ensembles", "difficulty")
READERS = {
    "music21": witnesses.music21_digest,
    "partitura": witnesses.partitura_digest,
    "verovio": witnesses.verovio_digest,
}

EXPLAINED: dict[tuple[str, str], tuple[str, str, str]] = {}


def drawn_from_the_corpus():
    """300 files of music21's corpus, drawn with a seed; analyses in RomanText are not scores."""
    from music21 import corpus

    paths = sorted(str(path) for path in corpus.getCorePaths() if path.suffix != ".rntxt")
    return [Path(path) for path in random.Random(SEED).sample(paths, 300)]


def reference_scores():
    data = reference_data()
    return sorted(
        path for folder in FOLDERS for path in (data / folder).rglob("*") if path.suffix in (".mxl", ".krn")
    )


def disagreements(path):
    """``(reader, what)`` of each reader that does not agree with us, or that we refuse the file."""
    try:
        return _disagreements(path)
    except ScoreReadError as error:
        return [("refused", error.reason)]


def _disagreements(path):
    if path.suffix == ".abc":
        ours = tuple(sum(n.is_struck for p in score.parts for n in p.notes) for score in read_scores(path))
        counted = witnesses.abc_heads(path)
        return [] if ours == counted else [("text", f"struck heads {ours} against {counted}")]
    ours = witnesses.our_digest(read_score(path))
    found = []
    for reader in ("verovio", "partitura") if path.suffix == ".krn" else READERS:
        try:
            theirs = READERS[reader](path)
        except Exception as error:
            found.append((reader, f"gave up ({type(error).__name__})"))
            continue
        differences = witnesses.differences(
            ours, theirs, by_staff=reader == "verovio" or path.suffix == ".krn"
        )
        found += [(reader, "; ".join(differences))] if differences else []
        if path.suffix == ".krn":
            break
    return found


def check(paths):
    found = {(path.name, reader): what for path in paths for reader, what in disagreements(path)}
    for key, what in found.items():
        print(key, what)
    names = {path.name for path in paths}
    expected = {key: what for key, (what, _, _) in EXPLAINED.items() if key[0] in names}
    assert found == expected


@pytest.mark.parametrize(
    "pattern",
    [
        "ensembles/chorale/*032*",
        "ensembles/choir/Tegner*",
        "difficulty/hymns/Savior_Who_Thy_Flock_Art*",
        "difficulty/chopin/028-1-BH-020.krn",
    ],
)
def test_a_sample_of_scores_is_read_alike_by_other_libraries(pattern):
    paths = sorted(reference_data().glob(pattern))
    assert paths
    check(paths)


@pytest.mark.slow
def test_every_reference_score_is_read_alike_by_other_libraries():
    paths = reference_scores()
    assert len(paths) >= 200
    check(paths)


@pytest.mark.slow
def test_three_hundred_files_of_the_corpus_are_read_alike_by_other_libraries():
    check(drawn_from_the_corpus())


def test_a_planted_mistake_is_found():
    (path,) = reference_data().glob("ensembles/chorale/*032*")
    ours = witnesses.our_digest(read_score(path))
    theirs = witnesses.partitura_digest(path)
    assert witnesses.differences(ours, theirs) == []
    first = ours[0]
    measure, pitch = first.heads[0]
    wrong = witnesses.Witnessed(first.measures, ((measure, pitch + 1), *first.heads[1:]))
    assert witnesses.differences((wrong, *ours[1:]), theirs)
    moved = witnesses.Witnessed(first.measures, tuple(sorted(((measure + 1, pitch), *first.heads[1:]))))
    assert witnesses.differences((moved, *ours[1:]), theirs)
