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
from tests.reference import reference_data, sampled

SEED = 20260901
FOLDERS = ("ensembles", "difficulty")
READERS = {
    "music21": witnesses.music21_digest,
    "partitura": witnesses.partitura_digest,
    "verovio": witnesses.verovio_digest,
}

LOOSE_TIE = (
    "ours, as partitura reads it: the file ends ties where nothing is held; others follow the mark alone"
)
TIE_OVER_GAP = (
    "ours: the tie is printed between neighbours, though the lengths of the file leave a gap before it"
)
TIE_ACROSS_VOICES = "ours, as music21 and partitura: the tie goes on in another voice of the staff"
SMALL_NOTES = (
    "open: small printed heads that sound (type size cue, no cue element); partitura counts them too"
)
CUE_NOTES = "ours, as verovio: the heads are in cue elements, which are not played (MusicXML 4.0, cue)"
TIED_CHORDS = "ours: the count from the text follows no ties inside chords"
LOOSE_KERN = (
    "ours: the file ends ties where nothing is held (at a repeat, or never begun); verovio follows the mark"
)
BOTH_MARKS = "verovio: a head marked as both end and beginning of a tie comes to us as a beginning only"
SMALL_CADENZA = "ours: a cadenza in small print has lengths and sounds; verovio marks it as cue"

EXPLAINED: dict[tuple[str, str], tuple[str, str]] = {
    ("hymns/A_Great_And_Mighty_Wonder_Es_Ist_Ein_Ros_Entsprungen.mxl", "music21"): (
        "struck heads 193 against 184; pitches 9 differ",
        LOOSE_TIE,
    ),
    ("hymns/A_Great_And_Mighty_Wonder_Es_Ist_Ein_Ros_Entsprungen.mxl", "verovio"): (
        "struck heads 193 against 184; pitches 9 differ",
        LOOSE_TIE,
    ),
    ("hymns/Lo_How_A_Rose_Eer_Blooming_Es_Ist_Ein_Ros_Entsprungen.mxl", "music21"): (
        "struck heads 193 against 184; pitches 9 differ",
        LOOSE_TIE,
    ),
    ("hymns/Lo_How_A_Rose_Eer_Blooming_Es_Ist_Ein_Ros_Entsprungen.mxl", "verovio"): (
        "struck heads 193 against 184; pitches 9 differ",
        LOOSE_TIE,
    ),
    ("hymns/Lord_God_Thy_Praise_We_Sing_Herr_Gott_dich_Loben_Wir.mxl", "music21"): (
        "struck heads 1331 against 1329; pitches 2 differ",
        LOOSE_TIE,
    ),
    ("hymns/Lord_God_Thy_Praise_We_Sing_Herr_Gott_dich_Loben_Wir.mxl", "verovio"): (
        "struck heads 1331 against 1329; pitches 2 differ",
        LOOSE_TIE,
    ),
    ("hymns/O_Trinity_Most_Blessed_Light_O_Lux_Beata_Trinitas.mxl", "music21"): (
        "struck heads 197 against 189; pitches 8 differ",
        LOOSE_TIE,
    ),
    ("hymns/O_Trinity_Most_Blessed_Light_O_Lux_Beata_Trinitas.mxl", "partitura"): (
        "struck heads 197 against 198; pitches 0 differ",
        TIE_OVER_GAP,
    ),
    ("hymns/O_Trinity_Most_Blessed_Light_O_Lux_Beata_Trinitas.mxl", "verovio"): (
        "struck heads 197 against 190; pitches 7 differ",
        LOOSE_TIE,
    ),
    ("hymns/Savior_Who_Thy_Flock_Art_Feeding_Batty_Ringe_Recht.mxl", "music21"): (
        "struck heads 129 against 125; pitches 4 differ",
        LOOSE_TIE,
    ),
    ("hymns/Savior_Who_Thy_Flock_Art_Feeding_Batty_Ringe_Recht.mxl", "verovio"): (
        "struck heads 129 against 125; pitches 4 differ",
        LOOSE_TIE,
    ),
    (
        "choir/Davies__Walford__8_New_Nursery_Rhymes__Op.23__5_The_fly_and_the_humble_bee__lc6218734.mxl",
        "music21",
    ): ("struck heads 1045 against 1038; pitches 7 differ", SMALL_NOTES),
    (
        "choir/Davies__Walford__8_New_Nursery_Rhymes__Op.23__5_The_fly_and_the_humble_bee__lc6218734.mxl",
        "verovio",
    ): ("struck heads 1045 against 1038; pitches 7 differ", SMALL_NOTES),
    ("mixed/Brahms__Johannes__2_Gesange__Op.91__1_Gestillte_Sehnsucht__lc6302395.mxl", "verovio"): (
        "struck heads 1678 against 1679; pitches 0 differ",
        TIE_ACROSS_VOICES,
    ),
    ("mixed/Flegier__Ange_____Le_cor__lc30346709.mxl", "music21"): (
        "struck heads 1572 against 1579; pitches 0 differ",
        CUE_NOTES,
    ),
    ("mixed/Flegier__Ange_____Le_cor__lc30346709.mxl", "partitura"): (
        "struck heads 1572 against 1579; pitches 0 differ",
        CUE_NOTES,
    ),
    ("string_quartet/Gounod__Charles__String_Quartet_No.3_in_A_minor__sq7434431.mxl", "partitura"): (
        "struck heads 7368 against 7369; pitches 0 differ",
        CUE_NOTES,
    ),
    ("orchestra/Brahms_Op.45_1.mxl", "music21"): (
        "struck heads 4522 against 4521; pitches 1 differ",
        LOOSE_TIE,
    ),
    ("orchestra/Brahms_Op.45_1.mxl", "verovio"): (
        "struck heads 4522 against 4521; pitches 1 differ",
        LOOSE_TIE,
    ),
    ("opus59no1/movement2.mxl", "music21"): ("struck heads 6580 against 6579; pitches 1 differ", LOOSE_TIE),
    ("opus59no1/movement2.mxl", "verovio"): ("struck heads 6580 against 6579; pitches 1 differ", LOOSE_TIE),
    ("trecento/PMFC_13_16-Gloria.xml", "music21"): (
        "struck heads 654 against 651; pitches 3 differ",
        LOOSE_TIE,
    ),
    ("trecento/PMFC_06_8-In Verde Prato.xml", "music21"): (
        "struck heads 585 against 577; pitches 8 differ",
        LOOSE_TIE,
    ),
    ("trecento/PMFC_06_8-In Verde Prato.xml", "verovio"): (
        "struck heads 585 against 577; pitches 8 differ",
        LOOSE_TIE,
    ),
    ("opus41no1/movement1.mxl", "partitura"): (
        "struck heads 3320 against 3335; pitches 0 differ",
        TIE_OVER_GAP,
    ),
    ("ryansMammoth/WalkAroundHeyDaddy.abc", "text"): ("struck heads (155,) against (157,)", TIED_CHORDS),
    ("chopin/010_1-6-1b-KI-006.krn", "verovio"): (
        "struck heads 977 against 972; pitches 5 differ",
        LOOSE_KERN,
    ),
    ("chopin/017-1a-Sm-003.krn", "verovio"): ("struck heads 930 against 928; pitches 2 differ", LOOSE_KERN),
    ("chopin/032-1-W-001.krn", "verovio"): (
        "struck heads 1224 against 1211; pitches 13 differ",
        SMALL_CADENZA,
    ),
    ("chopin/036-1-BH-001.krn", "verovio"): (
        "struck heads 2568 against 2500; pitches 68 differ",
        SMALL_CADENZA,
    ),
    ("chopin/039-1-BH.krn", "verovio"): ("struck heads 5168 against 5164; pitches 4 differ", BOTH_MARKS),
    ("chopin/056-1a-Sm-002.krn", "verovio"): ("struck heads 874 against 873; pitches 1 differ", BOTH_MARKS),
    ("chopin/059-1a-ST-001.krn", "verovio"): ("struck heads 1420 against 1419; pitches 1 differ", LOOSE_KERN),
}


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
        scores = read_scores(path)
        ours = tuple(sum(n.is_struck for p in score.parts for n in p.notes) for score in scores)
        counted = witnesses.abc_heads(path)
        left_out = any(issue.slug == "pieces-refused" for score in scores for issue in score.issues)
        rest = iter(counted)
        if left_out and all(heads in rest for heads in ours):
            return [("left out", f"{len(counted) - len(ours)} of {len(counted)} tunes")]
        return [] if ours == counted else [("text", f"struck heads {ours} against {counted}")]
    ours = witnesses.our_digest(read_score(path))
    found = []
    heard = 0
    for reader in ("verovio", "partitura") if path.suffix == ".krn" else READERS:
        try:
            theirs = READERS[reader](path)
        except Exception as error:
            print(f"{reader} gave up on {path.name} ({type(error).__name__})")
            continue
        heard += 1
        differences = witnesses.differences(
            ours, theirs, by_staff=reader == "verovio" or path.suffix == ".krn"
        )
        found += [(reader, "; ".join(differences))] if differences else []
        if path.suffix == ".krn":
            break
    return found if heard else [("nobody", "no other reader reads it")]


def check(paths):
    found = {(name_of(path), reader): what for path in paths for reader, what in disagreements(path)}
    names = {name_of(path) for path in paths}
    expected = {key: what for key, (what, _why) in EXPLAINED.items() if key[0] in names}
    assert found == expected


def name_of(path):
    """A name that is unique: many files of the corpus are called after their movement."""
    return f"{path.parent.name}/{path.name}"


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
def test_reference_scores_are_read_alike_by_other_libraries():
    paths = reference_scores()
    assert len(paths) >= 200
    check(sampled(paths, 40))


@pytest.mark.slow
def test_files_of_a_corpus_are_read_alike_by_other_libraries():
    check(sampled(drawn_from_the_corpus(), 40))


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
