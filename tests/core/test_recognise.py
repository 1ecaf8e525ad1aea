"""Recognising the instrument of a part from names in five languages, clefs and transpositions."""

import xml.etree.ElementTree as ET
import zipfile

import pytest

from planner.core.instruments import get_instrument, recognise
from planner.core.pitch import Transposition
from planner.core.score import Clef
from tests.reference import reference_data

TREBLE, BASS, TENOR_VOICE, ALTO = Clef(0, "G", 2), Clef(0, "F", 4), Clef(0, "G", 2, -1), Clef(0, "C", 3)
B_FLAT, B_FLAT_LOW = Transposition(-1, -2), Transposition(-1, -2, -1)


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("Clarinet in B♭ 2", "clarinet-bflat"), ("E-flat Clarinet", "clarinet-eflat"),
        ("Klarinette in B 1", "clarinet-bflat"), ("Es-Klarinette", "clarinet-eflat"),
        ("Clarinette en la", "clarinet-a"), ("Clarinetto in Do", "clarinet-c"), ("B-Klarinetten",
        "clarinet-bflat"),
        ("Petite flûte", "piccolo"), ("Ottavino", "piccolo"), ("Kleine Flöte", "piccolo"), ("Flauti",
        "flute"),
        ("Große Flöte", "flute"), ("Hautbois 1", "oboe"), ("Cor anglais", "english-horn"),
        ("Corno inglese", "english-horn"), ("Englischhorn", "english-horn"), ("Fagott 2", "bassoon"),
        ("Controfagotto", "contrabassoon"), ("Bassklarinette", "clarinet-bass"), ("Alto Sax. 1",
        "saxophone-alto"),
        ("Sax ténor", "saxophone-tenor"), ("Bari Sax", "saxophone-baritone"), ("Corno III in Mi♭",
        "horn-eflat"),
        ("Horn in D", "horn-d"), ("Cor en fa", "horn-f"), ("Hörner 1 & 2", "horn-f"),
        ("Trompete in F", "trumpet-f"), ("Tromba in Re", "trumpet-d"), ("Flügelhorn", "flugelhorn"),
        ("Cornet à pistons", "cornet-bflat"), ("Posaune 3", "trombone"), ("Bassposaune", "trombone-bass"),
        ("Tromboni", "trombone"), ("Euphonium T.C.", "euphonium-treble"), ("Euphonium B.C.", "euphonium"),
        ("Baritone TC", "baritone-horn-treble"), ("Baritone (treble clef)", "baritone-horn-treble"),
        ("Tuba", "tuba"), ("Pauken", "timpani"), ("C, G Timpani", "timpani"), ("Timbales", "timpani"),
        ("Gran cassa", "bass-drum"), ("Caisse claire", "snare-drum"), ("Kleine Trommel", "snare-drum"),
        ("Piatti", "cymbals"), ("Becken", "cymbals"), ("Triangolo", "triangle"), ("Campanelli",
        "glockenspiel"),
        ("Mallets (Bells)", "glockenspiel"), ("Mallets (Xylophone)", "xylophone"), ("Xilofono", "xylophone"),
        ("Drum Set", "drum-set"), ("Violini I", "violin"), ("Bratschen", "viola"), ("Violoncelle", "cello"),
        ("Kontrabass", "double-bass"), ("Contrabbassi", "double-bass"), ("Harfe", "harp"), ("Arpa", "harp"),
        ("Klavier", "piano"), ("Cembalo", "harpsichord"), ("Sopran", "soprano"), ("Ténor", "tenor"),
        ("Alto 2", "alto"), ("E-Bass", "bass-guitar"), ("Gitarre", "guitar"), ("Oboe  2", "oboe"),
        ("Chant\nVoice", "voice"), ("Bb (basso) Horn 1", "horn-bflat-basso"),
        ("Flautín", "piccolo"), ("Requinto", "clarinet-eflat"), ("Clarinete bajo", "clarinet-bass"),
        ("Saxofón barítono", "saxophone-baritone"), ("Trompa 3ª en Fa", "horn-f"), ("Trompeta 1ª",
        "trumpet-bflat"),
        ("Fiscorno", "flugelhorn"), ("Fliscorno", "flugelhorn"), ("Bombardino", "euphonium"), ("Caja",
        "snare-drum"),
        ("Bombo", "bass-drum"), ("Platillos", "cymbals"), ("Violonchelo", "cello"), ("Contrabajo",
        "double-bass"),
        ("Tiple", "soprano"), ("Láminas", "mallets"), ("Corno inglés", "english-horn"),
    ],
)  # fmt: skip
def test_names_alone_are_understood(name, expected):
    assert recognise(name).instrument == expected


@pytest.mark.parametrize(
    ("name", "chairs"),
    [
        ("Clarinet 2", (2,)), ("2nd Violins", (2,)), ("Violin II", (2,)), ("Horns 1, 2", (1, 2)),
        ("Horn 3.4.", (3, 4)), ("Erste Violine", (1,)), ("Flûte", ()), ("Trumpet in B♭ 3", (3,)),
    ],
)  # fmt: skip
def test_chairs_are_read(name, chairs):
    found = recognise(name)
    assert found.chairs == chairs
    assert found.chair == (chairs[0] if chairs else None)


@pytest.mark.parametrize(
    ("name", "doublings"),
    [
        ("Flute 2/Piccolo", ("piccolo",)), ("Flauto I e Ottavino", ("piccolo",)),
        ("Oboe 2 (English Horn)", ("english-horn",)), ("Snare Drum / Bass Drum", ("bass-drum",)),
        ("Bratsche.\nViola", ()), ("Violin", ()),
    ],
)  # fmt: skip
def test_doublings_are_named(name, doublings):
    assert recognise(name).doublings == doublings


def test_transposition_overrules_the_name():
    assert recognise("Tromba 1", transposition=Transposition(1, 2), clef=TREBLE).instrument == "trumpet-d"
    assert recognise("Clarinet", transposition=Transposition(-2, -3)).instrument == "clarinet-a"
    assert recognise("Euphonium", transposition=B_FLAT_LOW, clef=TREBLE).instrument == "euphonium-treble"
    assert recognise("Timbales", clef=BASS).instrument == "timpani"
    assert recognise("Bass Clarinet", transposition=B_FLAT_LOW).instrument == "clarinet-bass"


def test_a_singer_named_for_a_playback_sound_is_not_taken_for_it_without_a_question():
    found = recognise("Oboe", sound="wind.reed.oboe", midi_program=69, clef=BASS)
    assert found.instrument != "oboe" or found.doubts
    assert recognise("", clef=TENOR_VOICE).instrument == "tenor"


def test_a_viola_part_called_alto_is_told_from_a_singer_by_its_sound():
    assert recognise("Alto", sound="strings.viola", midi_program=42, clef=ALTO).instrument == "viola"
    assert recognise("Alto", sound="voice.alto", midi_program=53, clef=ALTO).instrument == "alto"


@pytest.mark.parametrize("name", ["", "Part 7", "Kazoo", "???"])
def test_an_unknown_part_gets_a_question_and_no_instrument(name):
    found = recognise(name)
    assert found.instrument == ""
    assert not found.is_sure
    assert found.confidence == 0


def test_an_impossible_transposition_lowers_confidence_and_asks():
    sure = recognise("Clarinet", transposition=B_FLAT)
    odd = recognise("Violin", transposition=Transposition(3, 6))
    assert odd.confidence < sure.confidence
    assert odd.doubts[0] == odd.instrument
    assert sure.is_sure


def test_percussion_without_a_known_name_is_percussion():
    assert recognise("Battery noises", is_percussion=True).instrument == "percussion"


ORCHESTRA = {
    "Violin": "violin", "Viola": "viola", "Violoncello": "cello", "Violone": "double-bass",
    "Contrabass": "double-bass", "Harpsichord": "harpsichord", "Continuo": "harpsichord",
    "Tromba": "trumpet-d", "Timpani": "timpani", "Traverso": "flute", "Flute": "flute", "Oboe": "oboe",
    "C Clarinet": "clarinet-c", "A Clarinet": "clarinet-a", "Bassoon": "bassoon", "C Horn": "horn-c",
    "D Horn": "horn-d", "F Horn": "horn-f", "C Trumpet": "trumpet-c", "D Trumpet": "trumpet-d",
    "Trombone": "trombone", "Harp": "harp", "Soprano": "soprano", "Alto": "alto", "Tenor": "tenor",
    "Bass": "bass-voice",
}  # fmt: skip
"""What each part of the orchestra scores is, by its name without the chair. Source: read by us in the
scores."""


def orchestra_parts():
    """Name, abbreviation, sound, program, transposition and first clef of each part, from the files."""
    for path in sorted(reference_data().glob("ensembles/orchestra/*.mxl")):
        with zipfile.ZipFile(path) as archive:
            inner = [n for n in archive.namelist() if n.endswith(("xml", "musicxml")) and "META" not in n]
            tree = ET.fromstring(archive.read(inner[0]))
        bodies = {part.get("id"): part for part in tree.findall("part")}
        for listed in tree.iter("score-part"):
            body = bodies[listed.get("id")]
            moved, clef = body.find(".//transpose"), body.find(".//clef")
            transposition = moved is not None and Transposition(
                int(moved.findtext("diatonic") or 0), int(moved.findtext("chromatic") or 0),
                int(moved.findtext("octave-change") or 0),
            )  # fmt: skip
            yield (
                listed.findtext("part-name") or "", listed.findtext("part-abbreviation") or "",
                listed.findtext("score-instrument/instrument-sound") or "",
                int(listed.findtext("midi-instrument/midi-program") or 0) or None, transposition or None,
                Clef(0, clef.findtext("sign"), int(clef.findtext("line")),
                     int(clef.findtext("clef-octave-change") or 0)),
            )  # fmt: skip


def test_every_part_of_the_orchestra_scores_is_recognised_with_its_transposition():
    parts = list(orchestra_parts())
    assert len(parts) >= 40
    for name, short, sound, program, transposition, clef in parts:
        found = recognise(name, short, sound, program, transposition, clef)
        assert found.instrument == ORCHESTRA[name.rstrip(" 123")], name
        assert found.confidence >= 0.6, name
        if found.instrument != "timpani":
            semitones = transposition.semitones if transposition else 0
            assert get_instrument(found.instrument).transposition.semitones == semitones, name
