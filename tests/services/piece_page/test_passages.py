"""What is drawn beside a sentence holds the bars that the sentence names, and the parts that it speaks of."""

from dataclasses import replace

import pytest

from planner.adapters.scores.reader import read_score
from planner.core.fact import Fact, FactKind, named
from planner.core.profile import (
    MelodySpan,
    MeterSpan,
    PartProfile,
    Pattern,
    PatternKind,
    Roadmap,
    RoadmapTurn,
)
from planner.services.piece_page.passages import MOST_BARS, MOST_PARTS, passages_of
from planner.study.study import study
from planner.wording.study.sentences import sentence_of
from planner.wording.words import bar_names, bar_number
from tests.checks import some
from tests.fakes import make_profile
from tests.reference import reference_data, sampled
from tests.services.piece_page.named_bars import bars_named

NUMBERS = tuple(str(at + 1) for at in range(40))
NAMES = ("Flute", "Oboe", "Clarinet 1", "Clarinet 2", "Trumpet", "Tuba")
RANGES = (("C4", "C6"), ("Bb3", "F5"), ("E3", "C6"), ("E3", "A5"), ("F#3", "G5"), ("F1", "Bb2"))


def band(**changes):
    """A piece of forty bars for six parts; the trumpet has the tune from bar 9 on."""
    parts = tuple(
        PartProfile(name, "", 0, 80, ends, ends, 2.0) for name, ends in zip(NAMES, RANGES, strict=True)
    )
    tune = (MelodySpan(0, 0.0, "Oboe"), MelodySpan(8, 0.0, "Trumpet"))
    whole = {"measures": 40, "measure_numbers": NUMBERS, "parts": parts, "melody": tune}
    return make_profile(**(whole | changes))


def one(fact, profile, reader=""):
    (passage,) = passages_of(fact, profile, reader)
    return passage


def check_named_bars(profile):
    """Every bar that a sentence names lies in one of its passages; how many sentences name one."""
    names, checked = bar_names(profile), 0
    for fact in profile.facts:
        passages = passages_of(fact, profile)
        shown = {
            bar_number(names, at).partition(" of the ")[0]
            for each in passages
            for at in range(each.place[0], each.place[1] + 1)
        }
        wanted = bars_named(sentence_of(fact, profile), profile)
        assert wanted <= shown, f"{sentence_of(fact, profile)}: {sorted(wanted - shown)} not shown"
        checked += bool(wanted)
    return checked


def test_every_bar_that_a_sentence_names_is_shown(profiles):
    assert sum(check_named_bars(profile) for profile in some(profiles)) > 300


@pytest.mark.slow
def test_every_bar_that_a_sentence_names_is_shown_of_scores_by_others():
    data = reference_data()
    files = [*(data / "songs").glob("*.mxl"), *(data / "ensembles").glob("*/*.mxl")]
    files += [*(data / "repeats").glob("lomse/*.xml"), *(data / "difficulty" / "hymns").glob("*.xml")]
    for path in some(sampled(sorted(files), 12)):
        check_named_bars(study(read_score(path)))


def test_the_bars_of_a_false_passage_would_be_found(monkeypatch):
    profile = band(facts=(Fact(FactKind.CADENCE, places=((7, 7),), terms=("half",), keys=("C major",)),))
    assert check_named_bars(profile) == 1
    monkeypatch.setattr(f"{__name__}.passages_of", lambda *_: ())
    with pytest.raises(AssertionError, match="'8'"):
        check_named_bars(profile)


def test_a_short_place_has_a_bar_before_and_after_it():
    cadence = Fact(FactKind.CADENCE, places=((7, 7),), terms=("half",), keys=("C major",))
    passage = one(cadence, band())
    assert (passage.place, passage.drawn, passage.is_widened) == ((7, 7), (6, 8), True)


@pytest.mark.parametrize(("place", "drawn"), [((0, 0), (0, 1)), ((39, 39), (38, 39))])
def test_there_is_no_bar_before_the_first_nor_after_the_last(place, drawn):
    fermata = Fact(FactKind.FERMATAS, places=(place,))
    assert one(fermata, band()).drawn == drawn


def test_of_a_long_place_the_beginning_is_drawn():
    away = Fact(FactKind.AWAY_FROM_HOME, places=((4, 30),), keys=("G major",), numbers=named(more=0))
    passage = one(away, band())
    assert passage.drawn == (4, 4 + MOST_BARS - 1)
    assert passage.is_cut
    assert not passage.is_widened


def test_a_parts_own_statement_is_drawn_on_its_page_and_those_it_speaks_of_with_it():
    doubles = Fact(
        FactKind.DOUBLES_TUNE, "Flute", places=((0, 3),), parts=("Trumpet",), numbers=named(more=0)
    )
    assert one(doubles, band(), "Flute").parts == (0, 4)


def test_what_concerns_everyone_is_drawn_on_the_readers_own_page():
    cadence = Fact(FactKind.CADENCE, places=((7, 7),), terms=("half",), keys=("C major",))
    assert one(cadence, band(), "Clarinet 2").parts == (3,)


def test_in_a_look_at_the_whole_score_the_tune_stands_above_the_bass():
    early, late = (
        Fact(FactKind.CADENCE, places=((at, at),), terms=("half",), keys=("C major",)) for at in (3, 20)
    )
    assert one(early, band()).parts == (1, 5)
    assert one(late, band()).parts == (4, 5)
    assert one(Fact(FactKind.FERMATAS, places=((20, 20),)), band()).parts == (4,)


def test_a_small_score_is_drawn_whole():
    duo = band(parts=band().parts[:2])
    assert one(Fact(FactKind.FERMATAS, places=((3, 3),)), duo).parts == (0, 1)


def test_no_more_parts_than_an_eye_compares_are_drawn_together():
    unison = Pattern(PatternKind.UNISON, ((0, 3), (8, 11)), with_parts=NAMES[1:])
    flute = replace(band().parts[0], patterns=(unison,))
    profile = band(parts=(flute, *band().parts[1:]))
    passages = passages_of(Fact(FactKind.PATTERN, "Flute", numbers=named(pattern=0)), profile, "Flute")
    assert [each.place for each in passages] == [(0, 3), (8, 11)]
    assert all(each.parts[0] == 0 and len(each.parts) == MOST_PARTS for each in passages)


def test_the_roadmap_is_shown_where_play_turns_and_where_it_goes_on():
    turns = (RoadmapTurn(8, "repeat", 2, (2,)), RoadmapTurn(12, "ending", 10, (2,), last=11))
    order = (*range(8), *range(2, 6), *range(10, 40))
    profile = band(roadmap=Roadmap(order, turns))
    fact = Fact(FactKind.ROADMAP, numbers=named(written=40, played=len(order)))
    assert [each.place for each in passages_of(fact, profile)] == [(7, 7), (2, 2), (5, 5), (10, 11)]


def test_of_many_changes_of_meter_each_stretch_is_shown():
    meters = tuple(MeterSpan(2 * at, ("4/4", "3/4", "5/4")[at % 3], ()) for at in range(20))
    places = [each.place for each in passages_of(Fact(FactKind.METER_CHANGES), band(meters=meters))]
    assert places[0] == (2, 3)
    assert places[-1] == (38, 39)
    few = band(meters=meters[:3])
    assert [each.place for each in passages_of(Fact(FactKind.METER_CHANGES), few)] == [(2, 2), (4, 4)]


def test_what_holds_throughout_has_no_passage():
    assert passages_of(Fact(FactKind.HOME_KEY, keys=("F major",)), band()) == ()
