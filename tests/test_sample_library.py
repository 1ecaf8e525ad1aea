"""The sample library as files: complete, in range, in the level's means, and made again byte for byte."""

import io
import json
import xml.etree.ElementTree as ET
import zipfile
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest

from sample_library.source.folding import folded
from sample_library.source.lines import LineError, read_line
from sample_library.source.musicxml import pack, write
from sample_library.source.setting import Setting
from sample_library.source.tones import Meter
from tests.checks import some
from tests.reference import sampled

FOLDER = Path(__file__).resolve().parents[1] / "sample_library"
PIECES = json.loads((FOLDER / "manifest.json").read_text(encoding="utf-8"))["pieces"]
LEVELS = {piece["file"]: piece["level"] for piece in PIECES}
FILES = sorted(LEVELS)
STEP = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
PARTS = (
    "Flute", "Oboe", "Clarinet 1", "Clarinet 2", "Bass Clarinet", "Alto Saxophone", "Tenor Saxophone",
    "Baritone Saxophone", "Trumpet 1", "Trumpet 2", "Horn in F", "Trombone", "Euphonium", "Tuba", "Mallets",
    "Snare Drum / Bass Drum", "Timpani",
)  # fmt: skip
# Written to sounding, in semitones (standard facts; the W3C's MusicXML 4.0 gives the element's meaning).
SEMITONES = {
    "Clarinet 1": -2, "Clarinet 2": -2, "Bass Clarinet": -14, "Alto Saxophone": -9, "Tenor Saxophone": -14,
    "Baritone Saxophone": -21, "Trumpet 1": -2, "Trumpet 2": -2, "Horn in F": -7,
}  # fmt: skip
# Written ranges. Levels 1/2, 1, 1 1/2 and 2: letter names of the chart at nemusicpub.com/grading and octaves
# quoted from "Teaching Music through Performance in Beginning Band" (banddirectorstalkshop.com); 3 and 4:
# common practice, from memory.
RANGES = {
    "Flute": "Bb4-A5 Eb4-C6 F4-D6 C4-Eb6 C4-G6 C4-Bb6",
    "Oboe": "Bb4-A5 E4-A5 D4-A5 C4-B5 C4-D6 Bb3-F6",
    "Clarinet 1": "A3-Bb4 E3-Bb4 E3-G5 E3-A5 E3-C6 E3-F6",
    "Clarinet 2": "A3-Bb4 E3-Bb4 E3-Bb4 E3-Bb4 E3-C6 E3-F6",
    "Bass Clarinet": "A3-Bb4 E3-Bb4 E3-Bb4 Eb3-G5 Eb3-G5 Eb3-C6",
    "Alto Saxophone": "G4-F5 E4-A5 D4-B5 C4-C6 C4-C6 Bb3-Eb6",
    "Tenor Saxophone": "G4-F5 E4-A5 D4-B5 C4-C6 C4-C6 Bb3-Eb6",
    "Baritone Saxophone": "G4-F5 E4-A5 D4-B5 C4-C6 C4-C6 Bb3-D6",
    "Trumpet 1": "C4-Bb4 Bb3-D5 B3-D5 G3-F5 G3-G5 G3-Bb5",
    "Trumpet 2": "C4-Bb4 Bb3-D5 B3-D5 G3-F5 G3-G5 G3-Bb5",
    "Horn in F": "C4-A4 A3-A4 A3-B4 G3-C5 G3-E5 F3-G5",
    "Trombone": "D3-Bb3 Ab2-C4 A2-C4 F2-Eb4 F2-F4 E2-G4",
    "Euphonium": "D3-Bb3 Ab2-C4 A2-C4 F2-F4 F2-F4 E2-G4",
    "Tuba": "D2-Bb2 Bb1-C3 Bb1-D3 A1-D3 F1-Eb3 F1-G3",
    "Bells": "Bb4-C6 G4-C6 G4-C6 G3-C6 G3-C6 G3-C6",
    "Xylophone": "G4-C6 G4-C6 G4-C6 F4-G6 F4-G6 F4-C7",
    "Timpani": "F2-F3 F2-F3 F2-F3 F2-F3 F2-F3 D2-G3",
}
STEPS_OF_LEVEL = (0.5, 1.0, 1.5, 2.0, 3.0, 4.0)
# Meters and concert keys: the same chart for 1/2 to 2 (1 1/2 and 2 with relative minors), continued for 3
# and 4 from memory. 5/8 and 7/8 belong to grade 4 there; an even 7/8 is let in half a level earlier.
METERS = {0.5: "2/4 4/4", 1.0: "3/4", 1.5: "6/8 2/2", 2.0: "", 3.0: "5/4", 3.5: "7/8", 4.0: "5/8"}
KEYS = {0.5: "Bb Eb", 1.0: "Gm Cm", 1.5: "F Dm", 2.0: "Ab Fm C"}


def midi(text: str) -> int:
    """``Bb3`` as a number."""
    return 12 * (int(text[-1]) + 1) + STEP[text[0]] + text.count("#") - text[1:].count("b")


def grown(table: dict[float, str], level: float) -> set[str]:
    """What a level allows: its own entry and those below."""
    return {word for at, words in table.items() if at <= level for word in words.split()}


@pytest.fixture(scope="session")
def scores() -> dict[str, ET.Element]:
    return {name: ET.fromstring(text_of((FOLDER / name).read_bytes())) for name in FILES}


def text_of(packed: bytes) -> str:
    with zipfile.ZipFile(io.BytesIO(packed)) as archive:
        return archive.read("score.musicxml").decode("utf-8")


def parts_of(root: ET.Element) -> list[tuple[str, ET.Element]]:
    names = {p.get("id"): p.findtext("part-name") for p in root.iter("score-part")}
    return [(names[p.get("id")], p) for p in root.findall("part")]


def written(note: ET.Element) -> int:
    pitch = note.find("pitch")
    step, octave = pitch.findtext("step"), int(pitch.findtext("octave"))
    return 12 * (octave + 1) + STEP[step] + int(pitch.findtext("alter", "0"))


def quarters(element: ET.Element) -> Fraction:
    return Fraction(int(element.findtext("duration")), 12)


def voices(measure: ET.Element) -> dict[str, Fraction]:
    """Length of each voice of a measure, in quarters."""
    found: dict[str, Fraction] = {}
    for note in measure.findall("note"):
        voice = note.findtext("voice")
        found[voice] = found.get(voice, Fraction(0)) + quarters(note)
    return found


def problems_of_length(root: ET.Element) -> list[str]:
    """Bars that do not hold what their meter says."""
    found = []
    for name, part in parts_of(root):
        length = Fraction(0)
        for at, measure in enumerate(part.findall("measure")):
            time = measure.find("attributes/time")
            if time is not None:
                length = Fraction(4 * int(time.findtext("beats")), int(time.findtext("beat-type")))
            pickup = measure.get("implicit") == "yes" and at == 0
            for voice, held in voices(measure).items():
                if held != length and not (pickup and 0 < held < length):
                    found.append(f"{name} bar {measure.get('number')} voice {voice}: {held} of {length}")
    return found


def problems_of_range(root: ET.Element, level: float) -> list[str]:
    """Notes outside the written range of the part at a level."""
    column = max(i for i, at in enumerate(STEPS_OF_LEVEL) if at <= level)
    found = []
    for name, part in parts_of(root):
        key = "Xylophone" if "Xylophone" in name else "Bells" if "Bells" in name else name
        if key not in RANGES:
            continue
        low, high = (midi(end) for end in RANGES[key].split()[column].split("-"))
        heads = [written(note) for note in part.iter("note") if note.find("pitch") is not None]
        found += [f"{name}: {head} outside {low} to {high}" for head in heads if not low <= head <= high]
    return found


class TestManifest:
    def test_manifest_and_folder_name_the_same_files(self):
        assert sorted(path.name for path in FOLDER.glob("*.mxl")) == FILES

    @pytest.mark.parametrize("piece", PIECES, ids=lambda piece: piece["title"])
    def test_every_entry_states_tune_setting_and_rights(self, piece):
        assert all(
            piece[field] for field in ("title", "composer", "tune", "setting", "level", "featured", "bars")
        )
        assert "CC0" in piece["rights"]

    def test_there_are_new_pieces_and_not_too_many_old_tunes(self):
        new = [p for p in PIECES if p["tune"] == "New music"]
        assert len(PIECES) >= 18
        assert len(new) >= 6
        assert len(new) >= 0.4 * len(PIECES)

    def test_a_composer_is_credited_only_where_the_tune_is_someones(self, scores):
        for piece in PIECES:
            credits_ = [(c.get("type"), c.text) for c in scores[piece["file"]].iter("creator")]
            is_new = piece["tune"] == "New music"
            assert credits_ == ([] if is_new else [("composer", piece["composer"])]), piece["title"]

    def test_levels_reach_from_one_half_to_four(self):
        levels = sorted(set(LEVELS.values()))
        assert (levels[0], levels[-1]) == (0.5, 4.0)
        assert max(b - a for a, b in pairwise(levels)) <= 0.5

    def test_manifest_agrees_with_the_scores(self, scores):
        for piece in PIECES:
            root = scores[piece["file"]]
            assert root.findtext("work/work-title") == piece["title"]
            assert len(root.find("part").findall("measure")) == piece["bars"] + piece["pickup"]
            assert root.findtext("identification/rights") == piece["rights"]


@pytest.fixture(scope="session")
def rebuilt() -> dict[str, bytes]:
    from sample_library.source.library import settings

    return {f"{setting.slug}.mxl": pack(setting) for setting in settings()}


class TestRebuilding:
    def test_the_source_gives_the_stored_scores(self, rebuilt):
        assert sorted(rebuilt) == FILES
        for name, made in rebuilt.items():
            assert text_of(made) == text_of((FOLDER / name).read_bytes()), name

    def test_packing_twice_gives_the_same_bytes_with_no_clock_in_them(self, rebuilt):
        from sample_library.source.pieces import lightly_row

        assert pack(lightly_row.build()) == rebuilt["lightly-row.mxl"]
        with zipfile.ZipFile(io.BytesIO(rebuilt["lightly-row.mxl"])) as archive:
            assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}


@pytest.mark.parametrize("name", FILES)
class TestEveryScore:
    def test_has_the_seventeen_parts(self, scores, name):
        names = [part for part, _ in parts_of(scores[name])]
        assert [n.partition(" (")[0] for n in names] == list(PARTS)
        for part in scores[name].iter("score-part"):
            for tag in (
                "part-abbreviation",
                "score-instrument/instrument-sound",
                "midi-instrument/midi-program",
            ):
                assert part.findtext(tag), tag

    def test_every_bar_of_every_part_adds_up(self, scores, name):
        assert not problems_of_length(scores[name])

    def test_all_parts_have_the_same_bars(self, scores, name):
        bars = {
            tuple((m.get("number"), max(voices(m).values())) for m in part.findall("measure"))
            for _, part in parts_of(scores[name])
        }
        assert len(bars) == 1

    def test_transpositions_are_the_standard_ones_and_signatures_follow_them(self, scores, name):
        parts = dict(parts_of(scores[name]))
        concert = [int(k.findtext("fifths")) for k in parts["Flute"].iter("key")]
        for part, element in some(parts.items()):
            chromatic = int(element.findtext(".//transpose/chromatic", "0"))
            octaves = int(element.findtext(".//transpose/octave-change", "0"))
            usual = SEMITONES.get(part, 0)
            assert part.startswith("Mallets") or chromatic + 12 * octaves == usual, part
            if part != "Snare Drum / Bass Drum":
                keys = [int(k.findtext("fifths")) for k in element.iter("key")]
                assert [(7 * (k - c) + chromatic) % 12 for k, c in zip(keys, concert, strict=True)] == [
                    0
                ] * len(keys)
                assert all(abs(k) <= 6 for k in keys)

    def test_every_note_lies_in_the_written_range_of_the_level(self, scores, name):
        assert not problems_of_range(scores[name], LEVELS[name])

    def test_meters_keys_and_note_values_are_those_of_the_level(self, scores, name):
        level, root = LEVELS[name], scores[name]
        piece = next(p for p in PIECES if p["file"] == name)
        times = {f"{t.findtext('beats')}/{t.findtext('beat-type')}" for t in root.iter("time")}
        assert times <= grown(METERS, level)
        assert set(piece["concert_keys"]) <= grown(KEYS, level)
        winds = [
            note for part, e in parts_of(root) if not part.startswith("Snare") for note in e.iter("note")
        ]
        kinds = {note.findtext("type") for note in winds} - {None}
        if level < 3:
            assert "16th" not in kinds
        if level < 1:
            assert kinds <= {"whole", "half", "quarter"}
            assert root.find(".//accidental") is None

    def test_ties_lead_to_their_note_and_slurs_are_closed_on_notes(self, scores, name):
        for part, element in some(parts_of(scores[name])):
            waiting, slurs = None, 0
            for note in element.iter("note"):
                if waiting is not None and part != "Snare Drum / Bass Drum":
                    assert note.find("tie[@type='stop']") is not None, part
                    assert written(note) == waiting, part
                started = note.find("tie[@type='start']") is not None
                waiting = written(note) if started and note.find("pitch") is not None else None
                for slur in note.iter("slur"):
                    assert note.find("rest") is None, f"{part}: a slur on a rest"
                    slurs += 1 if slur.get("type") == "start" else -1
                    assert slurs in (0, 1), part
            assert (waiting, slurs) == (None, 0), part

    def test_hairpins_close_and_every_part_begins_with_a_dynamic(self, scores, name):
        for part, element in some(parts_of(scores[name])):
            is_open, seen = False, False
            for item in element.iter():
                if item.tag == "dynamics":
                    seen = True
                elif item.tag == "wedge":
                    assert (item.get("type") == "stop") == is_open, part
                    is_open = not is_open
                elif item.tag == "note" and item.find("rest") is None:
                    assert seen, part
            assert not is_open, part

    def test_a_hold_is_held_by_everyone_who_sounds(self, scores, name):
        held: dict[int, set[bool]] = {}
        for _, element in parts_of(scores[name]):
            for at, measure in enumerate(element.findall("measure")):
                sounding = [
                    n
                    for n in measure.findall("note")
                    if n.find("rest") is None and len(measure.findall("note")) == 1
                ]
                for note in sounding:
                    held.setdefault(at, set()).add(note.find("notations/fermata") is not None)
        assert all(len(states) == 1 for states in held.values() if True in states)

    def test_tempo_has_words_a_number_and_its_playback_value(self, scores, name):
        first = scores[name].find("part").find("measure")
        tempo = next(d for d in first.findall("direction") if d.find("direction-type/metronome") is not None)
        metronome = tempo.find("direction-type/metronome")
        unit = {"eighth": 0.5, "quarter": 1.0, "half": 2.0}[metronome.findtext("beat-unit")]
        unit *= 1.5 if metronome.find("beat-unit-dot") is not None else 1
        assert tempo.findtext("direction-type/words")
        assert float(tempo.find("sound").get("tempo")) == unit * float(metronome.findtext("per-minute"))
        assert len(list(scores[name].iter("rehearsal"))) >= 2

    def test_length_suits_a_reading(self, scores, name):
        assert 24 <= len(scores[name].find("part").findall("measure")) <= 65


def test_parts_that_double_agree_in_sounding_pitch(scores):
    """Trumpet 1 and flute share the tune of the last section of these pieces, an octave apart."""
    for name, bars in (("six-small-steps.mxl", range(24, 32)), ("windmill.mxl", range(36, 44))):
        lines = []
        for part in ("Flute", "Trumpet 1"):
            element = dict(parts_of(scores[name]))[part]
            notes = [n for at in bars for n in element.findall("measure")[at].findall("note")]
            lines.append([written(n) + SEMITONES.get(part, 0) for n in notes if n.find("pitch") is not None])
        assert {a - b for a, b in zip(*lines, strict=True)} == {12}


class TestCoverage:
    def test_every_meter_asked_for_is_there(self):
        meters = {meter for piece in PIECES for meter in piece["meters"]}
        assert meters >= {"2/4", "3/4", "4/4", "C|", "6/8", "5/4", "7/8:2+2+3", "7/8:3+2+2", "5/8:3+2"}
        assert sum(len(piece["meters"]) > 1 for piece in PIECES) >= 3

    @pytest.mark.parametrize(
        ("name", "groups"), [("lantern-street.mxl", [2, 2, 3]), ("crosswind.mxl", [3, 2, 2])]
    )
    def test_beams_of_seven_eight_never_cross_its_groups(self, scores, name, groups):
        starts = {Fraction(sum(groups[:i]), 2) for i in range(len(groups))}
        full = 0
        for _, part in parts_of(scores[name]):
            seven = False
            for measure in part.findall("measure"):
                if measure.find("attributes/time") is not None:
                    seven = measure.findtext("attributes/time/beats") == "7"
                onset, begun = Fraction(0), None
                for note in measure.findall("note"):
                    beam = note.findtext("beam[@number='1']")
                    if note.findtext("voice") == "1" and seven and beam == "begin":
                        begun = onset
                    if note.findtext("voice") == "1" and seven and beam == "end":
                        end = onset + quarters(note)
                        assert not [s for s in starts if begun < s < end], measure.get("number")
                        full += end - begun == Fraction(3, 2)
                    onset += quarters(note)
        assert full > 20, "the group of three is beamed as three"

    def test_every_kind_of_roadmap_is_there(self):
        kinds = {kind for piece in PIECES for kind in piece["roadmap"]}
        assert kinds >= {"repeat", "endings", "D.C. al Fine", "D.S. al Coda", "D.S. al Fine"}
        assert any(piece["pickup"] for piece in PIECES)

    def test_major_and_minor_and_a_new_signature_are_there(self):
        assert sum(piece["concert_keys"][0].endswith("m") for piece in PIECES) >= 6
        assert {tuple(p["concert_keys"]) for p in PIECES if len(p["concert_keys"]) > 1} == {
            ("Eb", "Ab"),
            ("F", "Fm"),
            ("Bb", "Eb"),
        }

    def test_a_middle_section_in_the_relative_minor_shows_by_its_raised_leading_note(self, scores):
        """F sharps in bars 17 to 24 of a B flat piece, and no new signature: G minor."""
        flute = dict(parts_of(scores["quiet-harbor.mxl"]))
        raised = {
            int(m.get("number"))
            for part in ("Alto Saxophone", "Clarinet 2", "Tenor Saxophone", "Horn in F", "Euphonium")
            for m in flute[part].findall("measure")
            for n in m.findall("note")
            if n.find("pitch") is not None and (written(n) + SEMITONES.get(part, 0)) % 12 == 6
        }
        assert raised
        assert min(raised) >= 17
        assert max(raised) <= 24
        assert len(list(flute["Flute"].iter("key"))) == 1


# Bars played, worked out by hand: after a jump, repeats are not taken again and first endings are skipped.
PLAYED = {
    "lightly-row.mxl": 32 + 16,
    "theme-of-joy.mxl": 28 + 6 + 6,
    "paper-boats.mxl": 8 + 7 + 18,
    "windmill.mxl": 20 + 16 + 26,
    "early-in-the-morning.mxl": 36 + 8 + 12,
    "five-bridges.mxl": 12 + 7 + 29,
    "tinkers-road.mxl": 44 + 16,
    "lantern-street.mxl": 36 + 16 + 6,
    "crosswind.mxl": 12 + 8 + 36,
    "market-bells.mxl": 12 + 7 + 29,
    "two-left-feet.mxl": 36 + 16,
    "kites-in-march.mxl": 12 + 6 + 32,
    "corner-cafe.mxl": 28 + 16 + 6,
}


def alone(root: ET.Element, path: Path) -> Path:
    """The first part of a score, with its marks, as a file of its own."""
    copy = ET.fromstring(ET.tostring(root))
    for part in copy.findall("part")[1:]:
        copy.remove(part)
    listed = copy.find("part-list")
    for entry in list(listed):
        if entry.get("id") != "P1":
            listed.remove(entry)
    path.write_text(ET.tostring(copy, encoding="unicode"), encoding="utf-8")
    return path


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("name", PLAYED)
def test_another_reader_unrolls_the_roadmap_to_the_same_number_of_bars(scores, name, tmp_path):
    from music21 import converter, repeat

    part = converter.parse(alone(scores[name], tmp_path / "top.musicxml"), forceSource=True).parts[0]
    assert len(repeat.Expander(part).process().getElementsByClass("Measure")) == PLAYED[name]


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("name", sampled(FILES, 10))
def test_a_second_reader_finds_the_same_notes(scores, name):
    import partitura

    read = partitura.load_musicxml(str(FOLDER / name))
    assert len(read.parts) == len(PARTS)
    for (part, element), found in zip(parts_of(scores[name]), read.parts, strict=True):
        heads = [n for n in element.iter("note") if n.find("rest") is None]
        unpitched = list(found.iter_all(partitura.score.UnpitchedNote))
        assert len(found.notes) + len(unpitched) == len(heads), part
        pitched = sorted(written(n) for n in heads if n.find("pitch") is not None)
        assert sorted(note.midi_pitch for note in found.notes) == pitched, part


class TestLayingALineIntoARange:
    """A scale down from C3 for a part that reaches no lower than F2: moved whole, or broken at a rest."""

    @staticmethod
    def laid(text: str, highest: int) -> list[int]:
        bars = read_line(text, [Meter("4/4")] * 2, 0, near="C3")
        octaves = folded(bars, lambda heard: 41 <= heard.midi <= highest)
        return [
            event.tone.midi + 12 * octaves[at, i]
            for at, bar in enumerate(bars)
            for i, event in enumerate(bar)
            if event.tone is not None
        ]

    def test_a_line_that_lies_too_low_moves_as_a_whole(self):
        assert self.laid("C4 B A G | F E D C", 60) == [60, 59, 57, 55, 53, 52, 50, 48]

    def test_the_break_falls_at_a_rest_and_not_in_a_slur(self):
        assert self.laid("C4( B A G) | r F( E D)", 55) == [48, 47, 45, 43, 53, 52, 50]

    def test_nothing_is_promised_where_no_octave_fits(self):
        bars = read_line("C1", [Meter("4/4")], 0, near="C3")
        assert folded(bars, lambda heard: heard.midi > 200) == {}


class TestPlantedMistakes:
    @staticmethod
    def setting() -> Setting:
        return Setting("Test", "New music", 0.5, "Bb", "4/4", ("Steady", "quarter", 80), "flute")

    def test_a_bar_that_does_not_add_up_stops_the_build(self):
        with pytest.raises(LineError, match="bar 2 of the section holds 3 quarters, not 4"):
            self.setting().section(2, {"tune": "[B4] B4 C D E | B4 C D"}, "tune: fl")

    def test_a_note_out_of_range_stops_the_build(self):
        with pytest.raises(LineError, match=r"Flute: written C6 \(Bb4 to A5\)"):
            self.setting().section(1, {"tune": "[C6] C1"}, "tune: fl")

    def test_a_line_that_nobody_plays_stops_the_build(self):
        with pytest.raises(LineError, match="nobody plays answer"):
            self.setting().section(1, {"tune": "[B4] B1", "answer": "[B4] B1"}, "tune: fl")

    def test_a_sign_the_notation_does_not_know_stops_the_build(self):
        with pytest.raises(LineError, match="cannot read 'X4'"):
            self.setting().section(1, {"tune": "X4 r2."}, "tune: fl")

    def test_the_checks_above_see_a_short_bar_and_a_note_too_high(self):
        made = self.setting()
        made.section(1, {"tune": "[B4] B4 C D E"}, "tune: fl", dyn="1 mf")
        root = ET.fromstring(write(made))
        assert not problems_of_length(root)
        assert not problems_of_range(root, 0.5)
        note = root.find("part/measure/note")
        note.find("duration").text = "6"
        note.find("pitch/octave").text = "7"
        assert problems_of_length(root) == ["Flute bar 1 voice 1: 7/2 of 4"]
        assert problems_of_range(root, 0.5) == ["Flute: 106 outside 70 to 81"]
