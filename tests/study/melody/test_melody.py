import re
from dataclasses import replace

import numpy as np
import pytest

from planner.core.fact import FactKind
from planner.core.pitch import Transposition
from planner.core.profile import MelodySpan
from planner.study.melody.claims import claim_tune
from planner.study.melody.melody import find_melody
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score

TUNE = (
    "G4 A4*1/2 B4*1/2 C5 D5 | E5*3/2 D5*1/2 C5 B4 | A4 C5*1/2 B4*1/2 A4 G4 | F#4 G4*1/2 A4*1/2 D4*2 |"
    "G4 A4*1/2 B4*1/2 C5 D5 | E5*3/2 F#5*1/2 G5 E5 | D5 C5*1/2 B4*1/2 A4 F#4 | G4*4"
)
CHORDS = "r B3+D4 r B3+D4 | r C4+E4 r C4+E4 | r C4+E4 r C4+E4 | r C4+D4 r C4+D4"
BASS = "G2*2 D3*2 | C3*2 G2*2 | C3*2 E3*2 | D3*2 F#2*2"
REST = " | ".join(["r*4"] * 8)
AFTER_BEATS = f"{CHORDS} | {CHORDS}"
LOW = f"{BASS} | {BASS}"


def flute(music):
    return make_part(music, name="Flute")


def clarinet(music):
    return make_part(music, name="Clarinet", instrument="clarinet-bflat")


def horn(music=AFTER_BEATS):
    return make_part(music, name="Horn", instrument="horn-f")


def tuba(music=LOW):
    return make_part(music, name="Tuba", instrument="tuba", clef=("F", 4))


def melody_of(*parts):
    return find_melody(columns_of(make_score(*parts)))


def facts(study, kind):
    return {fact.part: fact for fact in study.facts if fact.kind is kind}


def test_the_tune_is_with_the_part_that_moves_and_not_with_chords_or_bass():
    study = melody_of(flute(TUNE), horn(), tuba())
    assert study.spans == (MelodySpan(0, 0.0, "Flute"),)
    assert facts(study, FactKind.HAS_TUNE)["Flute"].terms == ("throughout",)
    accompanying = facts(study, FactKind.ACCOMPANIES)
    assert set(accompanying) == {"Horn", "Tuba"}
    assert {fact.parts for fact in accompanying.values()} == {("Flute",)}


def test_the_tune_is_followed_into_another_part():
    study = melody_of(
        flute(f"{TUNE} | {REST}"), clarinet(f"{REST} | {TUNE}"),
        horn(f"{AFTER_BEATS} | {AFTER_BEATS}"), tuba(f"{LOW} | {LOW}"),
    )  # fmt: skip
    assert [(span.measure, span.part) for span in study.spans] == [(0, "Flute"), (8, "Clarinet")]
    found = facts(study, FactKind.HAS_TUNE)
    assert found["Flute"].places == ((0, 7),)
    assert found["Clarinet"].places == ((8, 15),)


def test_a_tune_under_held_chords_above_is_found_where_it_was_the_tune_before():
    held = "D5*4 | E5*4 | E5*4 | D5*4 | D5*4 | G5*4 | D5*4 | D5*4"
    low = TUNE.replace("4", "3").replace("5", "4").replace("*3/2", "*3/2")
    study = melody_of(flute(f"{TUNE} | {held}"), clarinet(f"{REST} | {low}"),
                      horn(f"{AFTER_BEATS} | {AFTER_BEATS}"), tuba(f"{LOW} | {LOW}"))  # fmt: skip
    assert [(span.measure, span.part) for span in study.spans] == [(0, "Flute"), (8, "Clarinet")]


def test_a_claim_begins_with_its_upbeat():
    upbeat = f"{' | '.join(['r*4'] * 7)} | r*3 F#4*1/2 G4*1/2 | {TUNE}"
    tune = f"{TUNE} | {REST}".replace("G4*4", "G4*2 r*2")
    study = melody_of(
        flute(tune), clarinet(upbeat), horn(f"{AFTER_BEATS} | {AFTER_BEATS}"), tuba(f"{LOW} | {LOW}")
    )
    assert study.spans == (MelodySpan(0, 0.0, "Flute"), MelodySpan(7, 3.0, "Clarinet"))


def test_nobody_has_the_tune_where_nobody_plays():
    silence = "r*4 | r*4"
    study = melody_of(
        *(make(f"{music} | {silence} | {music}") for make, music in
          ((flute, TUNE), (horn, AFTER_BEATS), (tuba, LOW)))
    )  # fmt: skip
    assert [(span.measure, span.part) for span in study.spans] == [(0, "Flute"), (8, ""), (10, "Flute")]
    assert melody_of(flute("r*4 | r*4")).spans == (MelodySpan(0, 0.0, ""),)


def test_who_plays_the_same_doubles_and_the_one_above_in_the_score_is_named():
    study = melody_of(flute(TUNE), make_part(TUNE, name="Oboe", instrument="oboe"), horn(), tuba())
    assert {span.part for span in study.spans} == {"Flute"}
    doubled = facts(study, FactKind.DOUBLES_TUNE)
    assert (set(doubled), doubled["Oboe"].parts, doubled["Oboe"].places) == ({"Oboe"}, ("Flute",), ((0, 7),))
    assert "Oboe" not in facts(study, FactKind.ACCOMPANIES)


def test_a_part_that_plays_the_same_in_some_bars_doubles_only_there():
    music = f"{' | '.join(TUNE.split('|')[:4])} | {' | '.join(['D4*4'] * 4)}"
    study = melody_of(flute(TUNE), make_part(music, name="Oboe", instrument="oboe"), horn(), tuba())
    assert facts(study, FactKind.DOUBLES_TUNE)["Oboe"].places == ((0, 3),)


def test_one_who_is_alone_is_told_nothing():
    study = melody_of(flute(TUNE))
    assert (study.spans, study.facts) == ((MelodySpan(0, 0.0, "Flute"),), ())


@pytest.mark.parametrize(("lower", "steps"), [("E4", -4), ("B4", 0)])
def test_an_answer_has_its_bars_its_leader_and_its_interval(lower, steps):
    subject = "B4*3/2 A4*1/2 G4 B4 | C5*1/2 D5*1/2 E5 D5*2"
    answer = {"E4": "E4*3/2 D4*1/2 C4 E4 | F4*1/2 G4*1/2 A4 G4*2", "B4": subject}[lower]
    counter = "D5*2 B4*2 | A4*4"
    study = melody_of(
        flute(f"{subject} | {counter} | {TUNE}"),
        make_part(f"r*4 | r*4 | {answer} | {REST}", name="Oboe", instrument="oboe"),
    )
    [fact] = [fact for fact in study.facts if fact.kind is FactKind.ANSWERS]
    assert (fact.part, fact.parts, fact.places) == ("Oboe", ("Flute",), ((2, 3), (0, 1)))
    assert (fact.number("steps"), fact.number("notes")) == (steps, 8)


def test_an_answer_is_told_in_what_sounds():
    subject = "B4*3/2 A4*1/2 G4 B4 | C5*1/2 D5*1/2 E5 D5*2"
    written = "C#5*3/2 B4*1/2 A4 C#5 | D5*1/2 E5*1/2 F#5 E5*2"
    part = make_part(f"r*4 | r*4 | {written}", name="Clarinet", instrument="clarinet-bflat",
                     transposition=Transposition(-1, -2))  # fmt: skip
    study = melody_of(flute(f"{subject} | D5*2 B4*2 | A4*4"), part)
    [fact] = [fact for fact in study.facts if fact.kind is FactKind.ANSWERS]
    assert fact.number("steps") == 0


def test_a_part_answers_the_one_whose_line_it_takes_up():
    above = "B4*3/2 A4*1/2 G4 B4 | C5*1/2 D5*1/2 E5 D5*2"
    below = "G4*3/2 F4*1/2 E4 G4 | A4*1/2 B4*1/2 C5 B4*2"
    counter = "D5*2 B4*2 | A4*4"
    lines = (flute(f"{above} | {counter}"), make_part(f"{below} | B4*2 G4*2 | F4*4", name="Clarinet"))
    answer = make_part(f"r*4 | r*4 | {below}", name="Oboe", instrument="oboe")
    fact = facts(melody_of(*lines, answer), FactKind.ANSWERS)["Oboe"]
    assert (fact.parts, fact.number("steps")) == (("Clarinet",), 0)


def test_nothing_is_answered_that_the_leader_plays_too():
    subject = "B4*3/2 A4*1/2 G4 B4 | C5*1/2 D5*1/2 E5 D5*2"
    alone = melody_of(
        flute(f"{subject} | D5*2 B4*2 | A4*4"),
        make_part(f"r*4 | r*4 | {subject}", name="Oboe", instrument="oboe"),
    )
    assert facts(alone, FactKind.ANSWERS)
    together = melody_of(
        flute(f"{subject} | {subject}"),
        make_part(f"r*4 | r*4 | {subject}", name="Oboe", instrument="oboe"),
    )
    assert not facts(together, FactKind.ANSWERS)


def test_a_bass_that_waits_for_the_tune_in_one_figure_has_no_tune():
    wait = "G2 D3 G2 D3 | G2 D3 B2 D3"
    rests = " | ".join(["r*4"] * 4)
    study = melody_of(flute(f"{rests} | {TUNE}"), horn(f"{rests} | {AFTER_BEATS}"),
                      tuba(f"{wait} | {wait} | {LOW}"))  # fmt: skip
    assert set(facts(study, FactKind.HAS_TUNE)) == {"Flute"}
    melody = melody_of(flute(f"{rests} | {TUNE}"), horn(f"{CHORDS} | {AFTER_BEATS}"),
                       tuba(f"{' | '.join(TUNE.split('|')[:4])} | {LOW}"))  # fmt: skip
    assert set(facts(melody, FactKind.HAS_TUNE)) == {"Flute", "Tuba"}


def test_a_figure_that_goes_on_all_the_time_is_no_answer():
    figure = "G4*3/2 A4*1/2 B4 G4 | C5*1/2 B4*1/2 A4 G4*2"
    study = melody_of(
        flute(" | ".join([figure] * 4)),
        make_part(" | ".join(["r*4 | r*4", *[figure] * 3]), name="Oboe", instrument="oboe"),
    )
    assert not [fact for fact in study.facts if fact.kind is FactKind.ANSWERS and fact.places[0][0] > 3]


@pytest.mark.parametrize(("mark", "answers"), [(0, 1), (1, 1), (2, 0)])
def test_a_figure_that_opens_the_next_section_is_no_answer(mark, answers):
    subject = "B4*3/2 A4*1/2 G4 B4 | C5*1/2 D5*1/2 E5 D5*2"
    score = make_score(
        flute(f"{subject} | D5*2 B4*2 | A4*4 | {REST}"),
        make_part(f"r*4 | r*4 | {subject} | {REST}", name="Oboe", instrument="oboe"),
    )
    measures = tuple(
        replace(each, rehearsal="B" if each.index == mark else "", right_bar="") for each in score.measures
    )
    study = find_melody(columns_of(replace(score, measures=measures)))
    assert len([fact for fact in study.facts if fact.kind is FactKind.ANSWERS]) == answers


def test_who_sings_words_is_a_singer_whatever_the_name():
    slow = "G4*2 G4*2 | G4*2 A4*2 | G4*4 | G4*4 | r*4 | r*4 | r*4 | r*4"
    plain = clarinet(slow)
    sung = replace(plain, notes=tuple(replace(note, lyric="la") for note in plain.notes))
    piano = make_part(TUNE, name="Piano", instrument="piano")
    assert claim_tune(columns_of(make_score(sung, piano))).part.tolist() == [0, 0, 0, 0, 1, 1, 1, 1]
    assert claim_tune(columns_of(make_score(plain, piano))).part.tolist() == [1] * 8
    cue = replace(plain, notes=(replace(plain.notes[0], lyric="solo"), *plain.notes[1:]))
    assert claim_tune(columns_of(make_score(cue, piano))).part.tolist() == [1] * 8


def test_the_singer_has_the_tune_while_singing():
    voice = make_part("G4*2 G4*2 | G4*2 A4*2 | G4*4 | G4*4 | r*4 | r*4 | r*4 | r*4", name="Voice",
                      instrument="voice")  # fmt: skip
    piano = make_part(TUNE, name="Piano", instrument="piano")
    assert claim_tune(columns_of(make_score(voice, piano))).part.tolist() == [0, 0, 0, 0, 1, 1, 1, 1]


def test_drums_alone_have_no_tune():
    hits = tuple(
        replace(note, pitch=None, unpitched=note.pitch) for note in make_part("C4 C4 C4 C4 | C4*4").notes
    )
    drums = replace(make_part("r*4", name="Snare Drum", instrument="snare-drum"), notes=hits)
    study = find_melody(columns_of(make_score(drums, flute("r*4 | r*4"))))
    assert {span.part for span in study.spans} == {""}


def test_chances_are_shares_of_one():
    claims = claim_tune(columns_of(make_score(flute(TUNE), horn(), tuba())))
    assert np.all((claims.every >= 0) & (claims.every <= 1 + 1e-9))
    np.testing.assert_allclose(claims.every.sum(axis=1), 1.0)
    np.testing.assert_allclose(claims.every[np.arange(8), claims.part], claims.chance)


def test_a_score_that_sounds_a_step_higher_has_the_same_tune():
    higher = Transposition(1, 2)
    moved = [
        make_part(music, name=name, instrument=instrument, transposition=higher)
        for music, name, instrument in (
            (TUNE, "Flute", "flute"), (AFTER_BEATS, "Horn", "horn-f"), (LOW, "Tuba", "tuba")
        )
    ]  # fmt: skip
    plain = claim_tune(columns_of(make_score(flute(TUNE), horn(), tuba())))
    assert claim_tune(columns_of(make_score(*moved))).part.tolist() == plain.part.tolist() == [0] * 8


def test_a_tune_is_nobody_s_alone_where_another_part_takes_up_its_theme():
    bars = TUNE.split(" | ")
    canon = " | ".join(["r*4", "r*4", *bars[:6]])
    study = melody_of(flute(TUNE), make_part(canon, name="Oboe", instrument="oboe"), horn(), tuba())
    for kind in (FactKind.HAS_TUNE, FactKind.ACCOMPANIES):
        stated = [place for fact in study.facts if fact.kind is kind for place in fact.places]
        assert all(last < 2 for _, last in stated)
        assert not any(fact.terms for fact in study.facts if fact.kind is kind)


def test_a_line_above_another_part_s_tune_is_no_tune_beyond_doubt():
    """The flute has the tune, then the tuba has it under the flute's descant."""
    low = re.sub(r"([A-G]#?)(\d)", lambda note: f"{note[1]}{int(note[2]) - 2}", TUNE)
    descant = TUNE.translate(str.maketrans("ABCDEFG", "CDEFGAB"))
    after = f"{AFTER_BEATS} | {AFTER_BEATS}"
    study = melody_of(flute(f"{TUNE} | {descant}"), horn(after), tuba(f"{LOW} | {low}"))
    assert "Flute" in {span.part for span in study.spans}
    for kind in (FactKind.HAS_TUNE, FactKind.ACCOMPANIES):
        assert all(last < 8 for fact in study.facts if fact.kind is kind for _, last in fact.places)
        assert not any(fact.terms for fact in study.facts if fact.kind is kind)
    [share] = facts(study, FactKind.ACCOMPANIES)["Horn"].each("share")
    assert share == pytest.approx(0.5)


def test_the_share_of_its_bars_in_which_a_part_is_led():
    study = melody_of(flute(TUNE), horn(), tuba())
    assert facts(study, FactKind.ACCOMPANIES)["Horn"].each("share") == (1.0,)
    half = f"{AFTER_BEATS} | {AFTER_BEATS}"
    study = melody_of(flute(f"{TUNE} | {REST}"), horn(half), tuba(f"{LOW} | {LOW}"))
    [share] = facts(study, FactKind.ACCOMPANIES)["Horn"].each("share")
    assert share == pytest.approx(0.5)


def test_who_rests_or_has_the_motive_does_not_accompany_there():
    bars = TUNE.split(" | ")
    other = " | ".join([*LOW.split(" | ")[:4], "r*4", "r*4", *LOW.split(" | ")[6:]])
    music = f"{TUNE} | {TUNE}"
    resting = melody_of(flute(music), horn(f"{AFTER_BEATS} | {AFTER_BEATS}"), tuba(f"{other} | {LOW}"))
    assert facts(resting, FactKind.ACCOMPANIES)["Tuba"].places == ((0, 3), (6, 15))
    motive = bars[0].replace("4", "2").replace("5", "3")
    sharing = " | ".join([*LOW.split(" | ")[:6], motive, LOW.split(" | ")[7]])
    shared = melody_of(flute(music), horn(f"{AFTER_BEATS} | {AFTER_BEATS}"), tuba(f"{sharing} | {LOW}"))
    assert all(not first <= 6 <= last for first, last in facts(shared, FactKind.ACCOMPANIES)["Tuba"].places)


def test_the_only_singer_is_not_told_of_the_tune_nor_who_plays_alone():
    sung = make_part(TUNE, name="Voice", instrument="soprano")
    sung = replace(sung, notes=tuple(replace(note, lyric="la") for note in sung.notes))
    song = melody_of(sung, make_part(AFTER_BEATS, name="Piano", instrument="piano"))
    assert not {FactKind.HAS_TUNE, FactKind.ACCOMPANIES} & {fact.kind for fact in song.facts}
    solo = melody_of(flute(f"{TUNE} | {TUNE}"), horn(f"{REST} | {AFTER_BEATS}"), tuba(f"{REST} | {LOW}"))
    assert facts(solo, FactKind.HAS_TUNE)["Flute"].places == ((8, 15),)


def test_a_doubled_tune_that_comes_again_is_doubled_again_and_how_far_below():
    low = re.sub(r"([A-G]#?)(\d)", lambda note: f"{note[1]}{int(note[2]) - 1}", TUNE)
    between = " | ".join(["D4*4", "C4*2 D4*2"] * 4)
    oboe = make_part(f"{low} | {between} | {low}", name="Oboe", instrument="oboe")
    study = melody_of(
        flute(f"{TUNE} | {TUNE} | {TUNE}"), oboe,
        horn(" | ".join([AFTER_BEATS] * 3)), tuba(" | ".join([LOW] * 3)),
    )  # fmt: skip
    fact = facts(study, FactKind.DOUBLES_TUNE)["Oboe"]
    assert (fact.places, fact.number("octaves")) == (((0, 7), (16, 23)), -1)
