"""Kern, ABC, MEI and MuseData come in note by note, or are refused; nothing is silently merged."""

import pytest

from planner.adapters.scores.files.abc_voices import split_tunes
from planner.adapters.scores.files.formats import Converted, check_kept, kind_of
from planner.adapters.scores.files.kern_rhythm import Mended, mend_kern
from planner.adapters.scores.files.kern_text import count_kern
from planner.adapters.scores.files.precheck import RawScore, check_raw
from planner.adapters.scores.reader import read_clean, read_raw, read_score, read_scores
from planner.errors import ScoreReadError
from tests.adapters.scores.test_reading import spelled

KERN = """**kern\t**kern
*I"Bassoon\t*I"Oboe
*clefF4\t*clefG2
*k[f#]\t*k[f#]
*M2/4\t*M2/4
=1\t=1
2G\t[4g
.\t8g]L
.\t8f#J
=2\t=2
*\t*^
4D\t4a\t4f#
4r\t4b-\t4g
*\t*v\t*v
==\t==
*-\t*-
"""
ABC = """X:1
T:Inline voices
C:Somebody
M:2/4
L:1/4
K:G
V:S name="Soprano"
V:A name="Alto"
[V:S] G A | B/2c/2 d |
[V:A] D D | G F |
[V:S] d2 |]
[V:A] F2 |]
"""
BOOK = """X:1
T:First
M:2/4
L:1/4
K:D
F A|

X:2
T:Second
M:3/4
L:1/4
K:Am
A B c|
"""
MEI = """<?xml version="1.0" encoding="UTF-8"?>
<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="4.0.0"><meiHead><fileDesc><titleStmt>
<title>Two lines</title></titleStmt><pubStmt/></fileDesc></meiHead><music><body><mdiv><score>
<scoreDef meter.count="2" meter.unit="4" key.sig="1s"><staffGrp>
<staffDef n="1" lines="5" clef.shape="G" clef.line="2" label="Flute"/>
<staffDef n="2" lines="5" clef.shape="F" clef.line="4" label="Cello"/></staffGrp></scoreDef>
<section><measure n="1">
<staff n="1"><layer n="1"><note pname="g" oct="4" dur="4"/>
<note pname="f" oct="4" dur="4" accid.ges="s"/></layer></staff>
<staff n="2"><layer n="1"><note pname="g" oct="2" dur="2"/></layer></staff></measure></section>
</score></mdiv></body></music></mei>
"""


def read_text(text, name):
    return read_raw(check_raw(name, text.encode("utf-8"), f".{name.rsplit('.')[-1]}"))


def test_kern_is_read_with_its_ties_splits_and_names_from_the_top():
    score = read_text(KERN, "two.krn")
    assert [part.name for part in score.parts] == ["Oboe", "Bassoon"]
    struck = [str(n.pitch) for n in score.parts[0].notes if n.is_struck]
    assert sorted(struck) == sorted(["G4", "F#4", "A4", "F#4", "Bb4", "G4"])
    assert spelled(score, 1) == "0:G3*2 | 0:D3*1 1:r*1"
    assert "format-converted" in {issue.slug for issue in score.issues}


THREE_BARS = """**kern\t**kern
*I"Cello\t*I"Flute
*M2/4\t*M2/4
=1\t=1
4C\t4e
4D\t4f
=2\t=2
2C\t8g
.\t8f
.\t4e
=3\t=3
4C\t4e
4D\t4f
==\t==
*-\t*-
"""


@pytest.mark.parametrize(
    ("old", "new", "bar", "upper"),
    [
        ("4D\t4f\n=2", "4D\t8f\n=2", "1", "0:E4*1 1:F4*1 | 0:G4*1/2 1/2:F4*1/2 1:E4*1 | 0:E4*1 1:F4*1"),
        ("2C\t8g", "2C\t4g", "2", "0:E4*1 1:F4*1 | 0:G4*1/2 1/2:F4*1/2 1:E4*1 | 0:E4*1 1:F4*1"),
        ("2C\t8g", "2C\t.", "2", "0:E4*1 1:F4*1 | 0:r*1/2 1/2:F4*1/2 1:E4*1 | 0:E4*1 1:F4*1"),
        (".\t8f", ".\t.", "2", "0:E4*1 1:F4*1 | 0:G4*1 1:E4*1 | 0:E4*1 1:F4*1"),
    ],
)
def test_a_note_of_the_wrong_length_in_kern_is_made_to_fit_and_told(old, new, bar, upper):
    text = THREE_BARS.replace(old, new)
    assert text != THREE_BARS
    score = read_text(text, "odd.krn")
    assert spelled(score, 0) == upper
    assert spelled(score, 1).endswith("0:C3*2 | 0:C3*1 1:D3*1")
    [issue] = [issue for issue in score.issues if issue.slug == "rhythm-mended"]
    assert (issue.value("bars"), issue.value("bar")) == (1, bar)


def test_kern_that_agrees_is_left_as_it_is():
    for text in (THREE_BARS, KERN, THREE_BARS.replace("8f", "8f q16g").replace("4e\n4D", "4e;\n4D")):
        assert mend_kern(text) == Mended(text)


def test_the_heads_of_a_kern_text_are_counted_spine_by_spine():
    assert [(count.heads, count.struck) for count in count_kern(KERN)] == [(2, 2), (7, 6)]
    spines = "**kern\t**text\t**kern\n4c e\tla\t8ddq\n*^\t*\t*\n4c\t4r\tlu\t4f\n"
    spines += "*v\t*v\t*\t*\n4c\tl\t4gyy\n*-\t*-\t*-\n"
    assert [count.heads for count in count_kern(spines)] == [4, 1]


def test_a_few_notes_off_is_told_and_many_are_refused():
    score = read_text(KERN, "two.krn")
    [issue] = check_kept("two.krn", Converted(b"", (), 2, 2, 11, 10), score)
    assert (issue.slug, issue.value("notes"), issue.value("written")) == ("notes-differ", 9, 11)


def test_abc_voices_named_inside_the_line_stay_apart():
    score = read_text(ABC, "choir.abc")
    assert score.title == "Inline voices"
    assert [part.name for part in score.parts] == ["Soprano", "Alto"]
    assert spelled(score, 0) == "0:G4*1 1:A4*1 | 0:B4*1/2 1/2:C5*1/2 1:D5*1 | 0:D5*2"
    assert spelled(score, 1) == "0:D4*1 1:D4*1 | 0:G4*1 1:F#4*1 | 0:F#4*2"


HYMN = """X:1
T:Closed score
M:3/4
L:1/4
%%staves (S1V1 S1V2) | (S2V1 S2V2)
V: S1V1 clef=treble
V: S1V2
V: S2V1 clef=bass
V: S2V2
K:F
[V: S1V1] [Q:1/4=100] F | A2 G | (F2 F-) | F2 z |]
w: Sing to the Lord
[V: S1V2] C | F2 E | "Dm"[CF]3 | C2 x |]
[V: S2V1] A, | C2 B, | {G,}A,3 A,2 z |]
[V: S2V2] F, | F,2 C, | !fermata!D,3 | F,2 z |]
"""


def test_voices_on_one_staff_become_parts_with_their_staff_s_clef():
    score = read_text(HYMN, "hymn.abc")
    assert [part.name for part in score.parts] == ["Soprano", "Alto", "Tenor", "Bass"]
    assert [part.clefs[0].sign for part in score.parts] == ["G", "G", "F", "F"]
    assert spelled(score, 3) == "0:F3*1 | 0:F3*2 2:C3*1 | 0:D3*3 | 0:F3*2 2:r*1"
    assert "voices-set-apart" in {issue.slug for issue in score.issues}


def test_a_bar_line_that_one_voice_lacks_is_set_where_the_others_have_it():
    score = read_text(HYMN, "hymn.abc")
    assert spelled(score, 2) == "0:A3*1 | 0:C4*2 2:Bb3*1 | 0:gG3 0:A3*3 | 0:A3*2 2:r*1"
    assert [i.part for i in score.issues if i.slug == "bar-line-mended"] == ["Tenor"]
    assert [m.length_quarters for m in score.measures] == [1, 3, 3, 3]


def test_the_heads_of_a_tune_are_counted_from_its_text():
    [tune] = split_tunes(HYMN)
    assert (tune.count.heads, tune.count.struck, tune.staves, tune.shared) == (22, 21, 4, 4)


def test_an_exclamation_mark_that_breaks_a_line_hides_no_notes():
    """ABC 1.6: an exclamation mark alone breaks the line of music; a pair encloses a decoration."""
    [tune] = split_tunes("X:1\nT:Air\nM:4/4\nL:1/4\nK:C\n!trill!c d e f|!g f e d|!c4|]\n")
    assert tune.count.heads == 9


def test_the_staves_of_a_keyboard_stay_together():
    piano = HYMN.replace("(S1V1 S1V2) | (S2V1 S2V2)", "{(S1V1 S1V2) | (S2V1 S2V2)}")
    [tune] = split_tunes(piano)
    assert (tune.staves, tune.shared) == (2, 0)
    assert "%%staves {(S1V1 S1V2) | (S2V1 S2V2)}" in tune.text
    score = read_text(piano.replace("A,3 A,2", "A,3 | A,2"), "piano.abc")
    assert sum(part.staves for part in score.parts) == 2


def test_voices_keep_their_names_in_the_order_they_are_declared_and_empty_ones_are_no_parts():
    tune = "X:1\nT:Two\nM:4/4\nL:1/4\nV:Alto\nV:Cue\nV:Sopran\nK:C\n[V:Sopran]c d e f|\n[V:Alto]C4|\n"
    score = read_text(tune, "two.abc")
    assert [(part.name, len(part.notes)) for part in score.parts] == [("Alto", 1), ("Sopran", 4)]


def test_a_voice_that_the_layout_leaves_out_is_read_as_well():
    score = read_text(ABC.replace("V:S name", "%%score S\nV:S name"), "choir.abc")
    assert [(part.name, len(part.notes)) for part in score.parts] == [("Soprano", 6), ("Alto", 5)]


def test_bars_without_a_meter_keep_their_notes_whole():
    free = "X:1\nT:Free\nM:none\nL:1/4\nK:C\nC D E F C D|C2 D4 E2 F2|\n"
    score = read_text(free, "free.abc")
    assert spelled(score) == "0:C4*1 1:D4*1 2:E4*1 3:F4*1 4:C4*1 5:D4*1 | 0:C4*2 2:D4*4 6:E4*2 8:F4*2"
    assert "time-missing" in {issue.slug for issue in score.issues}


def test_a_voice_that_ends_early_is_told_and_read():
    short = ABC.replace("[V:A] F2 |]\n", "")
    score = read_text(short, "choir.abc")
    assert [len(part.notes) for part in score.parts] == [6, 4]
    assert {"voices-uneven", "parts-uneven"} <= {issue.slug for issue in score.issues}


def test_a_reader_that_merges_the_voices_is_found_out(monkeypatch):
    """Of music21's own ABC reader these two voices come as one part, without an error."""
    from planner.adapters.scores.files import formats

    inline = ABC.replace('V:S name="Soprano"\nV:A name="Alto"\n', "")
    with monkeypatch.context() as patch:
        patch.setattr(formats, "_MUSIC21_NAMES", {"abc": "merged"})
        patch.setattr("music21.converter.parse", lambda text, format: _music21_own_abc(inline))
        with pytest.raises(ScoreReadError, match="2 voices but 1 came out"):
            read_text(inline, "choir.abc")
    assert [len(p.notes) for p in read_text(inline, "choir.abc").parts] == [6, 5]


def _music21_own_abc(text):
    from music21.converter.subConverters import ConverterABC

    reader = ConverterABC()
    reader.parseData(text)
    return reader.stream


def test_the_voices_of_a_tune_are_counted_from_its_text():
    assert [tune.voices for tune in split_tunes(ABC)] == [("S", "A")]
    assert [tune.voices for tune in split_tunes(BOOK)] == [("",), ("",)]


def test_each_tune_of_a_book_is_a_piece(tmp_path):
    path = tmp_path / "book.abc"
    path.write_text(BOOK)
    first, second = read_scores(path)
    assert (first.title, second.title) == ("First", "Second")
    assert spelled(second) == "0:A4*1 1:B4*1 2:C5*1"
    whole = read_score(path)
    assert whole.title == "First"
    assert "several-pieces" in {issue.slug for issue in whole.issues}


def test_mei_is_read_part_by_part():
    score = read_text(MEI, "two.mei")
    assert [part.name for part in score.parts] == ["Flute", "Cello"]
    assert spelled(score, 0) == "0:G4*1 1:F#4*1"
    assert spelled(score, 1) == "0:G2*2"


def test_musedata_is_read():
    from music21 import musedata

    folder = next(iter(musedata.__path__))
    from pathlib import Path

    score = read_score(Path(folder) / "testPrimitive" / "test01" / "01.md")
    assert (len(score.parts), len(score.measures), sum(n.is_struck for n in score.parts[0].notes)) == (
        1,
        13,
        49,
    )


def test_the_musicxml_of_a_text_file_reads_as_the_file_does(tmp_path):
    path = tmp_path / "two.krn"
    path.write_text(KERN)
    again = tmp_path / "two.mxl"
    again.write_bytes(read_clean(path)[1])
    assert [p.notes for p in read_score(again).parts] == [p.notes for p in read_score(path).parts]


@pytest.mark.parametrize(
    ("text", "kind"),
    [(KERN, "kern"), (ABC, "abc"), (MEI, "mei"), ("<score-partwise/>", "musicxml"), ("hello", "musicxml")],
)
def test_the_kind_is_told_by_the_content(text, kind):
    assert kind_of(RawScore("x", text.encode(), "")) == kind


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("**kern\n=1\n4zz\n", "a.krn"),
        ("X:1\nK:C\n", "a.abc"),
        (MEI.replace("</section>", ""), "a.mei"),
        (KERN[:60], "b.krn"),
    ],
)
def test_a_damaged_text_score_is_refused_by_name(text, name):
    with pytest.raises(ScoreReadError, match=name):
        read_text(text, name)


@pytest.mark.parametrize("wrong", [{"staves": 3}, {"heads": 1, "struck": 1}, {"bars": 9}])
def test_a_conversion_that_lost_anything_is_refused(wrong):
    score = read_text(KERN, "two.krn")
    facts = {"data": b"", "issues": (), "staves": 2, "bars": 2, "heads": 9, "struck": 8}
    check_kept("two.krn", Converted(**facts), score)
    with pytest.raises(ScoreReadError, match="could be kept"):
        check_kept("two.krn", Converted(**(facts | wrong)), score)


def test_a_pickup_bar_stays_short_through_the_conversion(tmp_path):
    kern = "**kern\t**kern\n*clefF4\t*clefG2\n*M3/4\t*M3/4\n4r\t4cc\n=1\t=1\n2.C\t2.ee\n==\t==\n*-\t*-\n"
    score = read_text(kern, "pickup.krn")
    assert [m.length_quarters for m in score.measures] == [1, 3]
    path = tmp_path / "pickup.krn"
    path.write_text(kern)
    again = read_raw(check_raw("pickup.mxl", read_clean(path)[1], ".mxl"))
    assert [m.length_quarters for m in again.measures] == [1, 3]


def test_an_abc_text_is_numbered_from_its_first_full_bar():
    with_pickup = "X:1\nT:Tune\nM:3/4\nL:1/4\nK:C\nG | c e g | c2 |]\n"
    assert [(m.number, m.implicit) for m in read_text(with_pickup, "a.abc").measures] == [
        ("0", True), ("1", False), ("2", False)
    ]  # fmt: skip
    without = with_pickup.replace("G | ", "")
    assert [m.number for m in read_text(without, "a.abc").measures] == ["1", "2"]


def test_one_bad_tune_does_not_cost_the_whole_book(tmp_path):
    path = tmp_path / "book.abc"
    path.write_text(BOOK + "\nX:3\nT:Empty\nM:2/4\nL:1/4\nK:C\n")
    scores = read_scores(path)
    assert [score.title for score in scores] == ["First", "Second"]
    assert "pieces-refused" in {issue.slug for issue in scores[0].issues}
