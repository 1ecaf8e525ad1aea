"""Whether a reading fits the minutes, and which passage to read when it does not."""

from dataclasses import replace
from fractions import Fraction

import pytest

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import FactKind, Topic, named
from planner.core.pitch import Pitch, Transposition
from planner.core.profile import Contribution, Spot
from planner.core.score import KeySignature, RoadmapMark, TempoMark
from planner.study.fit.excerpts import Border, choose_excerpt
from planner.study.fit.fit import Demands, measure_reading, playing_minutes_within, skill_evidence
from planner.study.study import study
from tests.builders import make_part, make_score
from tests.checks import some
from tests.study.difficulty.levels_help import facts_for
from tests.study.fit.cut import cut_score


def phrases(count, length=4, strong=()):
    return [Border(n * length, (n + 1) * length - 1, n in strong, n in strong) for n in range(count)]


def test_the_steps_of_a_reading_add_up():
    minutes = measure_reading(2.0, 1.25, 3.0)
    assert (minutes.study, minutes.hearing, minutes.first, minutes.second) == (3.5, 1.0, 2.5, 2.5)
    assert minutes.total == 11.0


@pytest.mark.parametrize("limit", [7.0, 10.0, 15.0])
@pytest.mark.parametrize("level", [None, 1.0, 4.0])
def test_the_playing_time_that_fits_fills_the_minutes(limit, level):
    playing = playing_minutes_within(limit, 1.2, level)
    assert measure_reading(playing, 1.2, level).total == pytest.approx(limit, abs=0.051)


def test_no_playing_time_fits_when_study_alone_takes_longer():
    assert playing_minutes_within(2.0, 1.2, 4.0) == 0


def test_the_excerpt_is_whole_phrases_within_the_time():
    found = choose_excerpt(phrases(10), [True] * 40, [2.0] * 40, 35.0, {})
    assert (found.measure, found.end_measure, found.minutes) == (0, 15, 0.53)


def test_the_excerpt_keeps_the_skill_that_the_piece_asks():
    rhythm = [0.0] * 40
    rhythm[30] = rhythm[33] = 3.0
    found = choose_excerpt(phrases(10), [True] * 40, [2.0] * 40, 35.0, {"rhythm": rhythm})
    assert found.measure <= 30
    assert found.end_measure >= 33
    assert found.keeps == ("rhythm",)


def test_the_excerpt_does_not_cross_a_turn_of_the_roadmap():
    straight = [True] * 40
    straight[11] = False
    found = choose_excerpt(phrases(10), straight, [2.0] * 40, 60.0, {})
    assert not found.measure <= 11 < found.end_measure


def test_a_strong_border_is_preferred_to_a_weak_one():
    found = choose_excerpt(phrases(10, strong=(3, 6)), [True] * 40, [2.0] * 40, 33.0, {})
    assert (found.measure, found.end_measure) == (12, 27)
    assert (found.begins_section, found.ends_closed, found.is_whole) == (True, True, False)


def test_an_excerpt_of_all_phrases_is_the_whole_piece():
    found = choose_excerpt(phrases(3), [True] * 12, [2.0] * 12, 30.0, {})
    assert (found.measure, found.end_measure, found.is_whole) == (0, 11, True)
    assert (found.begins_section, found.ends_closed) == (False, False)


def test_nothing_shorter_than_eight_bars_is_an_excerpt():
    assert choose_excerpt(phrases(10), [True] * 40, [10.0] * 40, 45.0, {}) is None


def long_piece():
    bar = "C4 D4 E4 F4 | G4 A4 B4 C5 | B4 A4 G4 F4 | E4*2 C4*2"
    score = make_score(make_part(" | ".join([bar] * 40), fifths=0), marks=(RoadmapMark("repeat-end", 159),))
    measures = tuple(replace(m, right_bar="light-light") if m.index % 8 == 7 else m for m in score.measures)
    return replace(score, measures=measures, tempos=(TempoMark(0, Fraction(0), "", Fraction(1), 100.0),))


def test_a_long_piece_gets_an_excerpt_with_its_own_level_that_fits():
    profile = study(long_piece())
    [fit] = [fact for fact in profile.facts if fact.topic == Topic.FIT]
    assert (fit.kind, fit.number("limit")) == (FactKind.PASSAGE_FITS, 10)
    assert [(e.measure, e.end_measure) for e in profile.excerpts if e.level] == list(fit.places)
    slower = 60 / profile.tempo_bpm.first_reading
    assert [excerpt.level for excerpt in profile.excerpts if excerpt.level is not None] == [
        study(cut_score(long_piece(), e.measure, e.end_measure)).level for e in profile.excerpts if e.level
    ]
    assert any(excerpt.level for excerpt in profile.excerpts)
    for excerpt in profile.excerpts:
        assert measure_reading(excerpt.minutes, slower, profile.level).total <= 15.1


def test_a_spot_is_evidence_of_the_skill_that_its_challenge_trains():
    """Of an entrance after a long rest, which the words of another module once hid."""
    score = make_score(make_part("C4*4 | D4*4 | E4*4 | F4*4"))
    entrance = Spot(2, (Challenge(2, ChallengeKind.ENTRANCE_AFTER_REST, 0.5, numbers=named(bars=8)),))
    contributions = (Contribution("independence", 3.0, 0.2), Contribution("density", 2.0, 0.2))
    demands = Demands(3.0, contributions, ((entrance,),))
    assert skill_evidence(facts_for(score), demands) == {"independence": [0.0, 0.0, 1.0, 0.0]}


def test_a_short_piece_fits_whole():
    profile = study(make_score(make_part("C4 D4 E4 F4 | G4*4")))
    assert profile.excerpts == ()
    [fit] = [fact for fact in profile.facts if fact.topic == Topic.FIT]
    assert (fit.kind, fit.number("limit"), fit.places) == (FactKind.WHOLE_FITS, 10, ())
    steps = sum(fit.number(step) for step in ("study", "hearing", "first", "fixing", "second"))
    assert fit.number("total") == pytest.approx(steps, abs=0.05)


def test_of_very_slow_bars_no_eight_fit():
    score = make_score(make_part(" | ".join(["C4*4 D4*4"] * 20)), time="8/4")
    score = replace(score, tempos=(TempoMark(0, Fraction(0), "", Fraction(1), 10.0),))
    profile = study(score)
    [fit] = [fact for fact in profile.facts if fact.topic == Topic.FIT]
    assert (fit.kind, profile.excerpts) == (FactKind.NOTHING_FITS, ())


def test_a_cut_score_begins_with_what_is_in_force():
    part = make_part("C4*4 | D4*4 | E4*4 | F4*4", transposition=Transposition(-1, -2))
    part = replace(part, keys=(KeySignature(0, 0), KeySignature(1, 3), KeySignature(3, -1)))
    score = replace(make_score(part), tempos=(TempoMark(1, Fraction(0), "Allegro"),))
    cut = cut_score(score, 2, 3)
    assert [m.number for m in cut.measures] == ["3", "4"]
    assert [m.start_quarters for m in cut.measures] == [0, 4]
    assert [(k.measure, k.fifths) for k in cut.parts[0].keys] == [(0, 3), (1, -1)]
    assert [(t.measure, t.text) for t in cut.tempos] == [(0, "Allegro")]
    assert cut.parts[0].transposition == Transposition(-1, -2)
    assert [(n.measure, n.pitch) for n in cut.parts[0].notes] == [
        (0, Pitch.parse("E4")),
        (1, Pitch.parse("F4")),
    ]


def test_an_excerpt_has_a_profile_of_its_own():
    profile = study(cut_score(make_score(make_part("C4*4 | D4*4 | E4*4 | F4*4")), 1, 2))
    assert (profile.measure_numbers, profile.parts[0].written_range) == (("2", "3"), ("D4", "E4"))


def test_a_passage_is_measured_at_the_tempos_of_its_own_sections():
    """The second half goes half as fast: an excerpt in it is half as long for the same minutes."""
    score = long_piece()
    slow = TempoMark(80, Fraction(0), "Lento", Fraction(1), 50.0)
    profile = study(replace(score, marks=(), tempos=(*score.tempos, slow)))
    first, second = (span.first_reading for span in profile.tempos)
    whole = 80 * 4 * 60 / first + 80 * 4 * 60 / second
    assert profile.first_reading_seconds == pytest.approx(whole, abs=0.1)
    for excerpt in some(profile.excerpts):
        fast = max(0, min(80, excerpt.end_measure + 1) - excerpt.measure)
        late = excerpt.end_measure + 1 - excerpt.measure - fast
        assert excerpt.minutes == pytest.approx((fast * 4 / 100 + late * 4 / 50), abs=0.011)
        assert excerpt.first_minutes == pytest.approx((fast * 4 / first + late * 4 / second), abs=0.011)
