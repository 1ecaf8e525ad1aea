"""Questions about instruments, and the study once they are answered."""

import pickle
from dataclasses import replace
from functools import partial

from planner.core.instruments import recognise
from planner.study.corrected import study_corrected, with_instruments
from planner.study.instrument_questions import UNSURE, ask_instruments
from planner.study.study import study
from tests.builders import make_part, make_score

TUNE = "C4 D4 E4 F4 | G4 A4 B4 C5 | C4*4"


def guessed(name, clef=("G", 2)):
    """A part taken for what its name and clef suggest, as the reader does it."""
    part = make_part(TUNE, name=name, clef=clef)
    return replace(part, instrument=recognise(name, clef=part.clefs[0]).instrument)


def doubtful():
    """A flute in the bass clef: one of the two is wrong."""
    return guessed("Flute", ("F", 4))


def unsure(profile):
    return [issue for issue in profile.issues if issue.slug == UNSURE]


def test_a_plain_name_raises_no_question():
    assert ask_instruments(make_score(guessed("Flute"), guessed("Oboe 2"))) == ()


def test_a_guess_is_asked_about_with_the_part_and_what_it_may_be_for():
    (question,) = ask_instruments(make_score(doubtful()))
    assert question.part == "Flute"
    assert question.all("instrument") == ("flute",)


def test_a_part_without_notes_is_not_asked_about():
    silent = replace(doubtful(), notes=make_part("r r r r").notes)
    assert ask_instruments(make_score(silent)) == ()


def test_the_directors_answer_is_studied_and_ends_the_question():
    score = make_score(doubtful())
    assert len(unsure(study(score))) == 1
    answered = study_corrected(score, {"Flute": "bassoon"})
    assert answered.part("Flute").instrument == "bassoon"
    assert unsure(answered) == []


def test_an_answer_that_confirms_the_guess_ends_the_question_too():
    score = make_score(doubtful())
    assert unsure(study_corrected(score, {"Flute": score.parts[0].instrument})) == []


def test_answers_for_one_of_two_parts_of_the_same_name_reach_that_one():
    score = with_instruments(make_score(guessed("Flute"), guessed("Flute")), {"Flute (2)": "piccolo"})
    assert [part.instrument for part in score.parts] == ["flute", "piccolo"]


def test_a_name_that_no_part_has_changes_nothing():
    score = make_score(guessed("Flute"))
    assert study_corrected(score, {"Horn": "horn-f"}) == study(score)


def test_the_asked_study_travels_to_a_child_process():
    asked = partial(study_corrected, instruments={"Flute": "oboe"})
    score = make_score(guessed("Flute"))
    assert pickle.loads(pickle.dumps(asked))(score) == asked(score)
