"""The clean file: the same score again, with the study's names and places, and nothing absurd in it."""

import hashlib
import io
import re
import zipfile

import pytest
from lxml import etree

from planner.adapters.scores.reader import read_clean, read_score
from planner.adapters.scores.writing.clean import CLEAN_VERSION
from planner.config import packaged
from tests.adapters.engraving.musicxml import (
    ATTRIBUTES,
    direction,
    note,
    one_part,
    part,
    rests,
    score,
    written,
)
from tests.checks import some
from tests.drawing import clean_root, clean_root_of
from tests.reference import reference_data

BAR = note() * 4
LETTER = direction("<rehearsal>A</rehearsal>")
SEGNO = direction("<segno/>")
TEMPO = direction("<metronome><beat-unit>quarter</beat-unit><per-minute>96</per-minute></metronome>")
TO_CODA = direction("<words>To Coda</words>", "<offset>-2</offset><sound tocoda='c'/>")
DOLCE = direction("<words>dolce</words>")
LOUD = direction("<dynamics><f/></dynamics>")

SAME = ("title", "creators", "rights", "measures", "marks")
SAME_IN_PARTS = (
    "name", "abbreviation", "instrument", "transpositions", "staves", "clefs", "keys", "notes", "dynamics",
    "hairpins", "octave_lines", "group",
)  # fmt: skip


def differences(path, folder) -> list[str]:
    """What of a score reads otherwise from its clean file; landmarks add words, and tempos at other notes."""
    clean = folder / "clean.mxl"
    first, data = read_clean(path)
    clean.write_bytes(data)
    again = read_score(clean)
    found = [name for name in SAME if getattr(first, name) != getattr(again, name)]
    found += [f"lost: {tempo}" for tempo in first.tempos if tempo not in again.tempos]
    found += [
        f"{one.name}: {name}"
        for one, other in zip(first.parts, again.parts, strict=True)
        for name in SAME_IN_PARTS
        if getattr(one, name) != getattr(other, name)
    ]
    return found


@pytest.mark.parametrize("path", sorted(packaged("sample_library").glob("*.mxl")), ids=lambda p: p.stem)
def test_a_sample_read_from_its_clean_file_is_the_same_score(path, tmp_path):
    assert differences(path, tmp_path) == []


@pytest.mark.parametrize("folder", ["orchestra", "choir", "string_quartet", "mixed", "chorale"])
def test_an_ensemble_read_from_its_clean_file_is_the_same_score(folder, tmp_path):
    for path in some(sorted((reference_data() / "ensembles" / folder).glob("*.mxl"))[:2]):
        assert differences(path, tmp_path) == [], path.name


def test_the_same_file_gives_the_same_bytes(tmp_path):
    path = written(tmp_path, one_part(TEMPO + BAR, BAR))
    assert read_clean(path)[1] == read_clean(path)[1]


def test_parts_and_bars_have_the_places_and_names_of_the_study():
    second = part(ATTRIBUTES + BAR, BAR, BAR, id_="P2", number=7)
    root = clean_root_of(score(part(ATTRIBUTES + BAR), second, names=("Violin", "Violin"), listed=(1, 0)))
    names = [entry.findtext("part-name") for entry in root.iterfind("part-list/score-part")]
    assert names == ["Violin (1)", "Violin (2)"]
    parts = root.findall("part")
    assert [p.get("id") for p in parts] == ["P1", "P2"]
    assert [[m.get("id") for m in p] for p in parts] == [[f"P{n}-m{at}" for at in range(3)] for n in (1, 2)]
    assert [[m.get("number") for m in p] for p in parts] == [["7", "8", "9"]] * 2
    assert [len(p.findall("measure/note")) for p in parts] == [12, 4], "the list of parts decides the order"


@pytest.mark.parametrize(
    ("absurd", "tag"),
    [
        ("<repeat direction='backward' times='999999999'/>", "repeat[@times]"),
        ("<ending number='9999999999999999' type='start'/>", "ending[@number='9999999999999999']"),
    ],
)
def test_an_absurd_count_on_a_barline_is_taken_off(absurd, tag):
    bar = f"<barline location='right'>{absurd}</barline>"
    root = clean_root_of(one_part(BAR + bar))
    assert root.find(f".//{absurd[1:].split()[0]}") is not None
    assert root.find(f".//{tag}") is None


def test_a_clef_of_a_staff_that_is_not_there_is_left_out():
    change = "<attributes><clef number='2'><sign>F</sign><line>4</line></clef></attributes>"
    signs = [clef.findtext("sign") for clef in clean_root_of(one_part(BAR, change + BAR)).iter("clef")]
    assert signs == ["G"]


def test_a_direction_below_the_last_staff_goes_to_the_first():
    swell = direction("<wedge type='crescendo'/>", "<staff>7</staff>")
    assert clean_root_of(one_part(swell + BAR)).findtext(".//direction/staff") == "1"


@pytest.mark.parametrize(
    "change",
    [
        "<key><fifths>999</fifths></key>", "<time><beats>0</beats><beat-type>4</beat-type></time>",
        "<time><beats>4</beats><beat-type>999999999</beat-type></time>", "<clef><line>2</line></clef>",
        "<divisions>0</divisions>", "<staff-details><staff-lines>999999999</staff-lines></staff-details>",
        "<transpose><chromatic>99999</chromatic></transpose>",
    ],
)  # fmt: skip
def test_no_absurd_number_is_left_in_attributes(change):
    root = clean_root_of(one_part(BAR, f"<attributes>{change}</attributes>" + BAR))
    for measure in some(root.find("part")[1:]):
        for attributes in some(measure.iter("attributes")):
            assert not [e for e in attributes.iter() if re.fullmatch(r"0|\d{3,}", (e.text or "").strip())]
            assert attributes.find("clef") is None


def test_a_note_the_reader_left_out_leaves_its_time():
    broken = note().replace("<step>G</step>", "<step>H</step>")
    measure = clean_root_of(one_part(note() + broken + note() * 2)).find("part/measure")
    assert [e.tag for e in measure] == ["attributes", "note", "forward", "note", "note"]
    assert measure.findtext("forward/duration") == "2"


def test_a_step_back_before_the_bar_is_as_long_as_the_bar():
    back = "<backup><duration>99</duration></backup>"
    measure = clean_root_of(one_part(BAR + back + BAR)).find("part/measure")
    assert measure.findtext("backup/duration") == "8"


def test_printed_multiple_rests_and_page_layout_are_left_behind():
    printed = "<attributes><measure-style><multiple-rest>3</multiple-rest></measure-style></attributes>"
    text = one_part('<print new-page="yes"/>' + BAR, printed + rests(), rests(), rests())
    root = clean_root_of(
        text.replace("<part-list>", "<credit><credit-words>A</credit-words></credit><part-list>")
    )
    assert not [tag for tag in ("multiple-rest", "print", "credit") if list(root.iter(tag))]


def names(measure) -> list[str]:
    """What stands in a measure, in order: notes as ``note``, directions by what they hold."""
    found = []
    for element in measure:
        if element.tag == "direction":
            found += [child.tag for child in element.iterfind("direction-type/*")]
        elif element.tag == "note":
            found.append("note")
    return found


def second_part(*parts):
    """The measures of the second of these parts in the clean file."""
    root = clean_root_of(score(*(part(*bars, id_=f"P{n}") for n, bars in enumerate(parts, start=1))))
    return list(root.findall("part")[1])


def test_letters_signs_and_tempo_come_from_the_top_part_and_its_other_words_do_not():
    top = (ATTRIBUTES + TEMPO + DOLCE + LOUD + BAR, LETTER + SEGNO + BAR)
    first, second = second_part(top, (ATTRIBUTES + BAR, BAR))
    assert names(first) == ["metronome", *["note"] * 4]
    assert names(second) == ["rehearsal", "segno", *["note"] * 4]
    assert {d.get("system") for m in (first, second) for d in m.iter("direction")} == {"also-top"}


def test_what_the_part_has_itself_is_not_doubled():
    (measure,) = second_part((ATTRIBUTES + LETTER + BAR,), (ATTRIBUTES + LETTER + BAR,))
    assert names(measure).count("rehearsal") == 1
    assert measure.find("direction").get("system") is None


def test_a_landmark_that_two_parts_have_comes_once_and_from_any_part():
    once = second_part((ATTRIBUTES + BAR,), (ATTRIBUTES + BAR,), *[(ATTRIBUTES + SEGNO + BAR,)] * 2)
    assert names(once[0])[:2] == ["segno", "note"]


def test_a_jump_at_the_end_of_the_bar_stays_where_it_was():
    (measure,) = second_part((ATTRIBUTES + BAR + TO_CODA,), (ATTRIBUTES + BAR,))
    assert names(measure) == [*["note"] * 3, "words", "note"], (
        "two eighths before the end, as in the top part"
    )
    assert measure.find("direction/offset") is None, "it belonged to the other part's notes"


def test_a_landmark_stands_before_the_note_of_its_beat_whatever_the_divisions():
    finer = ATTRIBUTES.replace("<divisions>2", "<divisions>4")
    halves = note().replace("<duration>2", "<duration>8").replace("quarter", "half") * 2
    (measure,) = second_part((ATTRIBUTES + note() * 2 + TEMPO + note() * 2,), (finer + halves,))
    assert names(measure) == ["note", "metronome", "note"]


def test_jumps_are_known_by_their_words_as_the_study_knows_them():
    for words in ("D.C. al Fine", "Fine", "D. S. al Coda", "Da Capo", "to coda", "Dal Segno"):
        top = ATTRIBUTES + direction(f"<words>{words}</words>") + BAR
        assert names(second_part((top,), (ATTRIBUTES + BAR,))[0])[0] == "words", words
    for words in ("finely", "dolce", "con sord.", "medial segnore"):
        top = ATTRIBUTES + direction(f"<words>{words}</words>") + BAR
        assert "words" not in names(second_part((top,), (ATTRIBUTES + BAR,))[0]), words


def test_a_compressed_file_of_any_container_is_read(tmp_path):
    path = packaged("sample_library") / "windmill.mxl"
    assert len(clean_root(path).findall("part")) == len(read_score(path).parts)


def test_nothing_is_left_that_names_another_file():
    root = clean_root_of(one_part(BAR + "<link xmlns:xlink='http://www.w3.org/1999/xlink' xlink:href='x'/>"))
    assert b"xlink" not in etree.tostring(root)


DIGESTS = {1: "408b16ddbd3ff1b8", 2: "108092ed0ec60e1b"}
"""Hash of the clean files of all samples, by the version that made them."""


def test_whatever_changes_the_clean_files_counts_the_version_up():
    """Pieces added before keep their clean file as long as its version is today's."""
    digest = hashlib.sha256()
    for path in sorted(packaged("sample_library").glob("*.mxl")):
        with zipfile.ZipFile(io.BytesIO(read_clean(path)[1])) as archive:
            digest.update(archive.read("score.musicxml"))
    assert DIGESTS.get(CLEAN_VERSION) == digest.hexdigest()[:16], "count CLEAN_VERSION up and note the digest"
