"""Each feature of notation in a tiny score of its own, with the reading it must give.

A part's reading is written ``onset:pitch*length`` in quarters, bars parted by ``|``;
``g`` before a pitch is a grace note, ``?`` a cue note, ``x`` an unpitched head at that
place on the staff, ``+`` a further head of a chord, ``/2`` behind it another voice.
"""

from fractions import Fraction
from pathlib import Path

import pytest

from planner.adapters.scores.files.precheck import check_raw
from planner.adapters.scores.reader import read_apart, read_clean, read_raw, read_score, read_scores
from planner.core.pitch import Pitch, Transposition
from planner.services.sheets.player.head import sheet_start
from planner.study.study import study
from planner.wording.words import bar_names, bars
from tests.checks import some

FOLDER = Path(__file__).resolve().parents[2] / "scores"
F = Fraction


def read(name):
    return read_score(FOLDER / f"{name}.musicxml")


def spell(note):
    text = "+" if note.in_chord else f"{note.onset_quarters}:"
    text += "g" if note.is_grace else "?" if note.is_cue else ""
    text += "r" if note.is_rest else f"x{note.unpitched}" if note.unpitched else str(note.pitch)
    text += "" if note.is_grace else f"*{note.duration_quarters}"
    return text + (f"/{note.voice}" if note.voice != "1" else "")


def spelled(score, part=0):
    bars = [[] for _ in score.measures]
    for note in score.parts[part].notes:
        bars[note.measure].append(spell(note))
    return " | ".join(" ".join(bar) for bar in bars)


@pytest.mark.parametrize(
    ("name", "reading"),
    [
        ("pickup_bar", "0:D5*1 | 0:G5*2 2:A5*1 | 0:B5*2"),
        ("split_bar", "0:C5*1 1:D5*1 2:E5*1 3:F5*1 | 0:G5*1 1:A5*1 2:B5*1 | 0:C5*1 | 0:D5*4"),
        ("multi_rest", "0:r*4 | 0:r*4 | 0:r*4 | 0:C5*4"),
        ("cue_notes", "0:r*4 0:?C5*1/2 1:?E5*1/2 2:?G5*2/2 | 0:D5*4"),
        ("ossia_stave", "0:C5*2 | 0:D5*1 0:D5*2/5 1:E5*1"),
        ("divisi", "0:C5*4 +E5*4 | 0:G5*2 0:C5*4/2 2:A5*2"),
        ("percussion_line", "0:xC5*1 1:xF4*1 2:xF4*1 +xC5*1 3:r*1"),
        ("tremolo", "0:C5*2 2:E5*1 3:G5*1"),
        ("ornaments", "0:C5*1 1:D5*1 2:E5*1 3:F5*1"),
        ("grace_notes", "0:gD5 0:C5*1 1:gE5 1:gF5 1:G5*1"),
        ("nested_tuplets", "0:C5*2/3 2/3:D5*2/9 8/9:E5*2/9 10/9:F5*2/9 4/3:G5*2/3"),
        ("octave_line", "0:C5*1 1:C7*1 | 0:D7*1 1:D5*1 | 0:C3*2"),
        ("clef_changes", "0:C3*1 1:G3*1 2:C4*1 3:E4*1 | 0:C5*4"),
        ("transposition_change", "0:D5*2 | 0:Eb5*2"),
    ],
)
def test_notes_of_each_tiny_score_are_read_exactly(name, reading):
    assert spelled(read(name)) == reading


def test_a_pickup_bar_is_short_and_does_not_count():
    first, second, last = read("pickup_bar").measures
    assert (first.number, first.implicit, first.length_quarters) == ("0", True, 1)
    assert (second.number, second.start_quarters, second.length_quarters) == ("1", 1, 3)
    assert last.length_quarters == 2


BAR_0 = """<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Flute</part-name>
</score-part></part-list><part id="P1"><measure number="0"{}><attributes><divisions>1</divisions>
<time><beats>4</beats><beat-type>4</beat-type></time></attributes>
<note><pitch><step>G</step><octave>4</octave></pitch><duration>{}</duration></note></measure>
<measure number="1"><note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration></note>
</measure></part></score-partwise>"""


@pytest.mark.parametrize("implicit", ["", ' implicit="no"', ' implicit="yes"'])
@pytest.mark.parametrize(("quarters", "is_pickup"), [(4, False), (1, True)])
def test_a_full_bar_with_the_number_0_is_a_bar(tmp_path, implicit, quarters, is_pickup):
    path = tmp_path / "bar-0.musicxml"
    path.write_text(BAR_0.format(implicit, quarters), encoding="utf-8")
    score = read_score(path)
    assert [measure.implicit for measure in score.measures] == [is_pickup, False]
    profile = study(score)
    assert sheet_start(profile).bars == ("1" if is_pickup else "2")
    assert bars(bar_names(profile), 0, 1) == ("bar 1 with the pickup" if is_pickup else "bars 0–1")


def test_a_split_bar_is_two_positions_under_one_number():
    score = read("split_bar")
    assert [(m.number, m.implicit, m.length_quarters) for m in score.measures][1:3] == [
        ("2", False, 3), ("X1", True, 1),
    ]  # fmt: skip
    assert [(m.kind, m.measure, m.part) for m in score.marks] == [("repeat-end", 1, -1)]


def test_a_multi_rest_is_as_many_bars_as_it_counts():
    score = read("multi_rest")
    assert [m.start_quarters for m in score.measures] == [0, 4, 8, 12]
    assert [n.is_struck for n in score.parts[0].notes] == [False, False, False, True]


def test_cue_notes_are_not_struck():
    notes = read("cue_notes").parts[0].notes
    assert [n.is_struck for n in notes] == [False] * 4 + [True]


def test_an_ossia_stave_is_a_second_staff_of_the_part():
    part = read("ossia_stave").parts[0]
    assert part.staves == 2
    assert [n.staff for n in part.notes] == [1, 1, 2, 1]
    assert [c.staff for c in part.clefs] == [1, 2]


def test_each_drum_on_a_line_keeps_its_name_and_place():
    score = read("percussion_line")
    heads = [n for n in score.parts[0].notes if not n.is_rest]
    assert [n.percussion for n in heads] == ["Snare Drum", "Bass Drum", "Bass Drum", "Snare Drum"]
    assert [n.notehead for n in heads] == ["normal", "normal", "normal", "x"]
    assert all(n.pitch is None for n in heads)
    assert score.parts[0].clefs[0].sign == "percussion"


def test_tremolo_counts_its_strokes():
    assert [n.ornaments for n in read("tremolo").parts[0].notes] == [("tremolo-3",)] * 3


def test_signs_on_a_head_are_sorted_by_kind():
    notes = read("ornaments").parts[0].notes
    assert [n.ornaments for n in notes] == [
        ("trill-mark", "wavy-line"), ("mordent",), ("turn",), ("inverted-mordent",),
    ]  # fmt: skip
    assert notes[3].articulations == ("staccato", "accent")
    assert notes[3].technical == ("harmonic",)
    assert notes[3].has_fermata


def test_the_text_of_the_first_verse_is_read_with_its_points_and_hyphens():
    assert [note.lyric for note in read("lyrics").parts[0].notes] == ["Eve-", "ning", "falls,", ""]


def test_nested_tuplets_carry_their_whole_ratio():
    notes = read("nested_tuplets").parts[0].notes
    assert [n.tuplet for n in notes] == [(3, 2), (9, 4), (9, 4), (9, 4), (3, 2)]
    assert sum(n.duration_quarters for n in notes) == 2


def test_an_octave_line_names_its_direction_and_end():
    lines = read("octave_line").parts[0].octave_lines
    assert [(x.measure, x.onset_quarters, x.octaves, x.end_measure, x.end_onset_quarters) for x in lines] == [
        (0, 1, 1, 1, 1), (2, 0, -2, 2, 2),
    ]  # fmt: skip


def test_clef_changes_keep_their_place_inside_the_bar():
    clefs = read("clef_changes").parts[0].clefs
    assert [(c.measure, c.onset_quarters, c.sign, c.line, c.octave_change) for c in clefs] == [
        (0, 0, "F", 4, 0), (0, 2, "C", 4, 0), (1, 0, "G", 2, -1),
    ]  # fmt: skip


def test_a_change_of_instrument_changes_the_transposition_from_its_bar_on():
    part = read("transposition_change").parts[0]
    assert part.transpositions == ((0, Transposition(-1, -2)), (1, Transposition(-2, -3)))
    sounding = [str(part.transposition_at(n.measure).to_sounding(n.pitch)) for n in part.notes]
    assert sounding == ["C5", "C5"]
    assert [k.fifths for k in part.keys] == [2, 3]


def test_a_concert_score_is_turned_into_what_each_player_reads():
    """E flat and B flat of the alto saxophone are written C and G, a major sixth up, without signs.

    Source: MusicXML 4.0, elements ``concert-score``, ``for-part`` and ``part-transpose``.
    """
    score = read("concert_score")
    saxophone, bass, flute = score.parts
    assert [spelled(score, part) for part in range(3)] == [
        "0:C5*1 1:G5*1",
        "0:Eb3*1 1:Bb2*1",
        "0:Eb5*1 1:Bb5*1",
    ]
    assert [part.keys[0].fifths for part in score.parts] == [0, -3, -3]
    assert saxophone.transposition == Transposition(-5, -9)
    assert bass.transposition == Transposition(0, 0, -1)
    assert flute.transpositions == ()
    assert str(saxophone.transposition.to_sounding(saxophone.notes[0].pitch)) == "Eb4"


def test_printed_accidentals_tell_courtesy_from_need():
    notes = read("accidentals").parts[0].notes
    assert [(n.accidental, n.is_courtesy) for n in notes] == [
        ("", False), ("natural", False), ("sharp", True), ("flat", True),
    ]  # fmt: skip


def test_jumps_keep_their_tokens_words_and_passes():
    marks = read("jumps").marks
    assert all(mark.part == -1 for mark in marks)
    by_kind = {mark.kind: mark for mark in marks}
    assert by_kind["segno"].name == by_kind["dal-segno"].name == "s1"
    assert by_kind["coda"].name == by_kind["to-coda"].name == "c1"
    assert (by_kind["dal-segno"].text, by_kind["dal-segno"].time_only) == ("D.S. al Coda", (1,))
    assert by_kind["to-coda"].text == "To Coda"
    assert (by_kind["repeat-end"].times, by_kind["repeat-end"].after_jump) == (3, True)
    assert (by_kind["repeat-start"].measure, by_kind["repeat-start"].implied) == (3, True)
    assert (by_kind["ending-start"].numbers, by_kind["ending-stop"].open_ended) == ((1, 2), True)
    assert len(marks) == 8


def test_directions_are_sorted_into_tempo_dynamics_swells_and_words():
    score = read("directions")
    part = score.parts[0]
    first, second = score.tempos
    assert (first.text, first.beat_unit_quarters, first.bpm, first.quarter_bpm) == (
        "Allegretto",
        F(3, 2),
        60,
        90,
    )
    assert (second.text, second.measure, second.onset_quarters) == ("rit.", 2, 2)
    assert [(d.mark, d.measure) for d in part.dynamics] == [("mf", 0), ("sfz", 1)]
    assert [(h.kind, h.measure, h.end_measure, h.in_words) for h in part.hairpins] == [
        ("crescendo", 0, 1, False), ("diminuendo", 1, 2, True),
    ]  # fmt: skip
    assert [w.text for w in part.words] == ["dolce", "poco a poco dim."]
    assert score.measures[1].rehearsal == "A"
    assert [(n.slurs_started, n.slurs_stopped) for n in part.notes[:2]] == [(1, 0), (0, 1)]


def test_time_signatures_of_every_make_are_read():
    measures = read("meters").measures
    assert [str(m.time) for m in measures] == ["4/4", "2+3/8", "2/4 + 3/8", "free"]
    assert [m.time.symbol for m in measures] == ["common", "", "", "free"]
    assert [m.length_quarters for m in measures] == [4, F(5, 2), F(7, 2), F(5, 2)]


def test_two_movements_are_found_told_and_offered_as_pieces():
    whole = read("two_movements")
    assert [i.slug for i in whole.issues] == ["several-movements"]
    first, second = read_scores(FOLDER / "two_movements.musicxml")
    assert (first.title, second.title) == ("Two movements: 1. Allegro", "Two movements: 2. Andante")
    assert (spelled(first), spelled(second)) == ("0:D5*1 1:E5*1 | 0:F#5*2", "0:A5*3 | 0:G5*3")
    assert second.parts[0].transposition == Transposition(-1, -2)
    assert second.parts[0].keys[0].fifths == 2
    assert (str(second.measures[0].time), second.measures[0].time_changes) == ("3/4", True)
    assert second.parts[0].clefs[0].sign == "G"


def test_a_piece_cut_out_reads_as_it_did_inside_its_file(tmp_path):
    inside = read_scores(FOLDER / "two_movements.musicxml")
    for score, (apart, clean, data) in zip(
        some(inside), read_apart(FOLDER / "two_movements.musicxml"), strict=True
    ):
        path = tmp_path / "piece.musicxml"
        path.write_bytes(data)
        assert read_clean(path) == (score, clean)
        assert apart == score


def test_a_file_of_one_piece_is_not_cut():
    [(score, _clean, data)] = read_apart(FOLDER / "meters.musicxml")
    assert (score, data) == (read("meters"), None)


def test_every_tiny_score_is_under_test():
    tested = Path(__file__).read_text(encoding="utf-8")
    assert all(f'"{path.stem}"' in tested for path in FOLDER.glob("*.musicxml"))


def test_a_part_without_diatonic_steps_gets_the_usual_interval():
    """Published transpositions, written to sounding, in staff steps.

    Source: common practice, as in W3C MusicXML 4.0 examples of ``transpose``.
    """
    from planner.adapters.scores.reading.attributes import usual_steps

    assert [usual_steps(s) for s in (12, -5, -7, 3, -2, -3, -9, -12)] == [7, -3, -4, 2, -1, -2, -5, -7]
    assert Transposition(usual_steps(-9), -9).to_sounding(Pitch.parse("C5")) == Pitch.parse("Eb4")


def note_xml(pitch, duration, tie=""):
    ties = "".join(f'<tie type="{kind}"/>' for kind in tie.split())
    alter = {"b": "<alter>-1</alter>", "#": "<alter>1</alter>"}.get(pitch[1], "")
    return (
        f"<note><pitch><step>{pitch[0]}</step>{alter}<octave>{pitch[-1]}</octave></pitch>"
        f"<duration>{duration}</duration>{ties}</note>"
    )


def read_bars(*bars):
    """A part of 2/4 bars in quarters, each bar the XML of its notes."""
    time = "<time><beats>2</beats><beat-type>4</beat-type></time>"
    head = f"<attributes><divisions>1</divisions>{time}</attributes>"
    measures = "".join(
        f'<measure number="{i + 1}">{head if i == 0 else ""}{bar}</measure>' for i, bar in enumerate(bars)
    )
    text = (
        '<score-partwise><part-list><score-part id="P1"><part-name>Flute</part-name></score-part></part-list>'
        f'<part id="P1">{measures}</part></score-partwise>'
    )
    return read_raw(check_raw("bars.musicxml", text.encode(), ".musicxml"))


def test_a_fermata_over_a_bar_line_belongs_to_the_bar_before_it():
    def held(*bars):
        return [each.closing_fermata for each in read_bars(*bars).measures]

    note = note_xml("C5", 2)
    right = '<barline location="right"><fermata/></barline>'
    left = '<barline location="left"><fermata/></barline>'
    assert held(note, note + right, note) == [False, True, False]
    assert held(note, note, left + note) == [False, True, False]
    assert held(note, note + '<barline location="right"><bar-style>light-light</bar-style></barline>') == [
        False, False,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("inside", "marks"),
    [
        ("<dynamics><other-dynamics>poco più </other-dynamics><f/></dynamics>", ["poco più f"]),
        ("<words>meno</words></direction-type><direction-type><dynamics><p/></dynamics>", ["meno p"]),
        ("<dynamics><f/></dynamics>", ["f"]),
        ("<words>dolce</words></direction-type><direction-type><dynamics><p/></dynamics>", ["p"]),
        ("<dynamics><other-dynamics>sempre</other-dynamics><p/></dynamics>", ["sempre", "p"]),
        ("<words>più mosso</words></direction-type><direction-type><dynamics><p/></dynamics>", ["p"]),
    ],
)
def test_more_or_less_before_a_dynamic_belongs_to_it(inside, marks):
    direction = f"<direction><direction-type>{inside}</direction-type></direction>"
    part = read_bars(direction + note_xml("C5", 2)).parts[0]
    assert [each.mark for each in part.dynamics] == marks
    assert [each.text for each in part.words] == (["dolce"] if "dolce" in inside else [])


def test_a_tie_over_the_bar_line_holds_and_one_from_nowhere_does_not():
    held = read_bars(note_xml("C5", 2, "start"), note_xml("C5", 2, "stop"))
    assert [n.is_struck for n in held.parts[0].notes] == [True, False]
    rest = "<note><rest/><duration>1</duration></note>"
    loose = read_bars(note_xml("C5", 2, "start"), rest + note_xml("C5", 1, "stop"))
    assert [n.is_struck for n in loose.parts[0].notes] == [True, False, True]
    assert "tie-from-nowhere" in {issue.slug for issue in loose.issues}
    other = read_bars(note_xml("C5", 2, "start"), note_xml("D5", 2, "stop"))
    assert [n.is_struck for n in other.parts[0].notes] == [True, True]


def test_a_tie_holds_though_the_note_is_spelled_otherwise_at_its_end():
    held = read_bars(note_xml("Eb5", 2, "start"), note_xml("D#5", 2, "stop"))
    assert [n.is_struck for n in held.parts[0].notes] == [True, False]
    other = read_bars(note_xml("Eb5", 2, "start"), note_xml("D5", 2, "stop"))
    assert [n.is_struck for n in other.parts[0].notes] == [True, True]


def test_a_tie_into_a_second_ending_is_believed():
    def ending(number, kind, place):
        return f'<barline location="{place}"><ending number="{number}" type="{kind}"/></barline>'

    score = read_bars(
        note_xml("C5", 2, "start"),
        ending(1, "start", "left") + note_xml("C5", 2, "stop") + ending(1, "stop", "right"),
        ending(2, "start", "left") + note_xml("C5", 2, "stop") + ending(2, "stop", "right"),
    )
    assert [n.is_struck for n in score.parts[0].notes] == [True, False, False]


@pytest.mark.parametrize(
    ("lengths", "time"), [((3, 3, 3), "3/4"), ((1, 4, 4, 4), "4/4"), ((3, 5, 7, 2), "free"), ((), "4/4")]
)
def test_a_score_without_time_signature_takes_it_from_its_bars(lengths, time):
    bars = "".join(
        f'<measure number="{i}">{"<attributes><divisions>1</divisions></attributes>" if i == 0 else ""}'
        f"{note_xml('C5', length)}</measure>"
        for i, length in enumerate(lengths)
    )
    text = f'<score-partwise><part id="P1">{bars or "<measure/>"}</part></score-partwise>'
    score = read_raw(check_raw("free.musicxml", text.encode(), ".musicxml"))
    assert str(score.measures[-1].time) == time
    assert "time-missing" in {issue.slug for issue in score.issues}
    assert not any(measure.time_changes for measure in score.measures)
