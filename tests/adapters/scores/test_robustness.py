"""Every awkward file gives a score or a refusal by name, never anything else."""

import io
import zipfile

import pytest

from planner.adapters.scores.files.precheck import check_raw, load_raw
from planner.adapters.scores.reader import read_raw, read_score
from planner.errors import ScoreReadError, UnsupportedScoreError
from tests.reference import reference_data

TINY = (
    '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Flute</part-name></score-part>'
    '</part-list><part id="P1"><measure number="1"><attributes><divisions>1</divisions><time><beats>1</beats>'
    "<beat-type>4</beat-type></time></attributes><note><pitch><step>C</step><octave>5</octave></pitch>"
    "<duration>1</duration></note></measure></part></score-partwise>"
)
CONTAINER = '<container><rootfiles><rootfile full-path="{}"/></rootfiles></container>'


def packed(**entries: str) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in entries.items():
            archive.writestr(name, text)
    return buffer.getvalue()


def test_every_awkward_file_is_read_or_refused_by_name():
    paths = sorted(p for p in (reference_data() / "robustness").rglob("*") if p.is_file())
    assert len(paths) >= 49
    refused = set()
    for path in paths:
        try:
            score = read_score(path)
        except ScoreReadError as error:
            assert path.name in error.message  # noqa: PT017
            refused.add(path.name)
        else:
            assert score.parts
            assert score.measures
    assert refused == {
        "50999-empty-file.xml", "truncated.musicxml", "xxe_external_entity.musicxml",
        "mxl_no_container.mxl", "empty_partlist.musicxml",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"\x00" * 100, "empty"),
        (b"MThd\x00\x00\x00\x06", "MIDI"),
        (b"%PDF-1.7", "PDF"),
        (b"PK\x03\x04garbage", "damaged compressed"),
        (packed(**{"a.xml": TINY}), "without META-INF/container.xml"),
        (packed(**{"META-INF/container.xml": CONTAINER.format("b.xml"), "a.xml": TINY}), "not in it"),
        (packed(**{"META-INF/container.xml": CONTAINER.format("a.xml"), "../a.xml": TINY}), "outside"),
        (packed(**{"META-INF/container.xml": CONTAINER.format("a.xml"), "a.xml": ""}), "empty"),
    ],
)
def test_a_file_that_is_no_score_is_refused_with_its_cause(data, words):
    with pytest.raises(ScoreReadError, match=words) as caught:
        check_raw("song.mxl", data, ".mxl")
    assert "song.mxl" in str(caught.value)


def test_midi_is_refused_as_unsupported_with_the_reason():
    with pytest.raises(UnsupportedScoreError, match="no note spelling"):
        check_raw("song.mid", b"MThd\x00\x00\x00\x06\x00\x01", ".mid")


def test_a_huge_file_is_refused_unread(tmp_path):
    path = tmp_path / "huge.musicxml"
    with path.open("wb") as stream:
        stream.truncate(51 * 2**20)
    with pytest.raises(ScoreReadError, match="50 MB"):
        load_raw(path)


def test_a_container_that_unpacks_hugely_is_refused():
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("META-INF/container.xml", CONTAINER.format("a.xml"))
        with archive.open("a.xml", "w", force_zip64=True) as entry:
            for _ in range(201):
                entry.write(b" " * 2**20)
    with pytest.raises(ScoreReadError, match="200 MB"):
        check_raw("bomb.mxl", buffer.getvalue(), ".mxl")


def test_an_encrypted_container_is_refused():
    data = bytearray(packed(**{"META-INF/container.xml": CONTAINER.format("a.xml"), "a.xml": TINY}))
    at = data.index(b"PK\x01\x02")
    data[at + 8] |= 1
    with pytest.raises(ScoreReadError, match="encrypted"):
        check_raw("locked.mxl", bytes(data), ".mxl")


def test_an_entity_bomb_is_refused_and_an_ordinary_doctype_is_not():
    bomb = '<!DOCTYPE s [<!ENTITY a "ha"><!ENTITY b "&a;&a;">]>' + TINY
    with pytest.raises(ScoreReadError, match="entities"):
        read_raw(check_raw("bomb.xml", bomb.encode(), ".xml"))
    doctype = (
        '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
        '"http://www.musicxml.org/dtds/partwise.dtd">' + TINY
    )
    assert read_raw(check_raw("plain.xml", doctype.encode(), ".xml")).parts[0].name == "Flute"


@pytest.mark.parametrize(
    ("declared", "actual", "is_told"),
    [
        ("UTF-8", "utf-8", False),
        ("UTF-16", "utf-8", True),
        ("UTF-8", "cp1252", True),
        ("ISO-8859-1", "utf-8", True),
        ("ISO-8859-1", "latin-1", False),
        ("UTF-16", "utf-16", False),
        ("UTF-8", "utf-16", True),
    ],
)
def test_a_wrong_encoding_declaration_is_healed_and_told(declared, actual, is_told):
    text = f'<?xml version="1.0" encoding="{declared}"?>' + TINY.replace("Flute", "Flöte")
    score = read_raw(check_raw("a.xml", text.encode(actual), ".xml"))
    assert score.parts[0].name == "Flöte"
    assert ("encoding-healed" in {i.slug for i in score.issues}) is is_told
