"""Hard places in words."""

import pytest

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import Fact, FactKind, named
from planner.core.profile import PartProfile, Spot
from planner.wording.study.sentences import sentence_of
from planner.wording.study.spots import CHALLENGES, spot_words
from tests.fakes import make_profile

NUMBERS = ("1", "2", "3", "4")


def words(kind, **values):
    """The words for one challenge in bar 2."""
    return spot_words(Spot(1, (Challenge(1, kind, 0.5, **values),), 1), NUMBERS)


@pytest.mark.parametrize(
    ("kind", "values", "expected"),
    [
        ("run", {"numbers": named(notes=9, quarters=0.25)}, "run of 9 sixteenths"),
        ("run", {"numbers": named(notes=7, quarters=0.333333)}, "run of 7 triplet eighths"),
        ("run", {"numbers": named(notes=7, quarters=0.2)}, "run of 7 quick, even notes"),
        ("run", {"numbers": named(notes=7)}, "run of 7 quick, even notes"),
        (
            "run",
            {"terms": ("scale", "up"), "numbers": named(notes=8, quarters=0.125)},
            "scale of 8 thirty-seconds up",
        ),
        ("dense passage", {"numbers": named(notes_a_second=4.4)}, "about 4 notes a second at full tempo"),
        ("syncopation", {"numbers": named(notes=1)}, "1 syncopated note"),
        ("syncopation", {"numbers": named(notes=2)}, "2 syncopated notes"),
        ("tie over the bar line", {}, "it begins on a tied note and goes on off the beat"),
        ("cross-rhythm", {}, "triplets against even notes in other parts"),
        ("wide leap", {"notes": ("C5", "A5")}, "leap of a sixth up from C5 to A5"),
        ("wide leap", {"notes": ("Bb5", "F#4")}, "leap of an eleventh down from B♭5 to F♯4"),
        ("register change", {"numbers": named(semitones=10.5)}, "the line moves into a higher register"),
        ("register change", {"numbers": named(semitones=-10.5)}, "the line drops into a lower register"),
        (
            "accidental cluster",
            {"notes": ("C#", "B", "Eb"), "numbers": named(accidentals=4)},
            "4 accidentals (C♯, B♮, E♭)",
        ),
        (
            "accidental cluster",
            {"notes": ("C#", "B", "Eb", "F#", "G#"), "numbers": named(accidentals=7)},
            "7 accidentals (C♯, B♮, E♭, F♯ among them)",
        ),
        ("entrance after a long rest", {"numbers": named(bars=12)}, "entrance after 12 bars of rest"),
        (
            "entrance after a long rest",
            {"terms": ("Oboe",), "numbers": named(bars=12, before=2)},
            "entrance after 12 bars of rest (Oboe comes in two bars before you)",
        ),
        (
            "entrance after a long rest",
            {"terms": ("Oboe", "Horn"), "numbers": named(bars=8, before=1)},
            "entrance after 8 bars of rest (Oboe and Horn come in one bar before you)",
        ),
        (
            "entrance after a long rest",
            {"terms": ("Oboe",), "numbers": named(bars=8, before=0)},
            "entrance after 8 bars of rest (only Oboe plays in the bar before)",
        ),
        ("exposed entrance", {}, "entrance alone: no other part begins with you"),
        ("sudden dynamic", {"terms": ("p", "ff")}, "sudden ff after p"),
        (
            "quick change",
            {"terms": ("con sord.",), "numbers": named(seconds=0.52)},
            "0.5 seconds for “con sord.”",
        ),
        ("meter change", {"terms": ("3/4",)}, "the meter changes to 3/4"),
        ("key change", {"numbers": named(fifths=-3)}, "new signature: 3 flats"),
        ("key change", {"numbers": named(fifths=0)}, "new signature: no sharps or flats"),
        ("break crossing", {"numbers": named(times=1)}, "1 crossing of the break"),
        ("slide move", {"numbers": named(times=2, positions=4)}, "2 slide moves of 4 or more positions"),
        ("valve change", {"numbers": named(times=3)}, "3 awkward valve changes"),
        ("string crossing", {"numbers": named(times=1)}, "1 jump over a string"),
    ],
)
def test_a_challenge_in_words(kind, values, expected):
    assert words(ChallengeKind(kind), **values) == f"Bar 2: {expected}."


def test_every_kind_of_challenge_has_words():
    assert set(CHALLENGES) == set(ChallengeKind)


def test_in_a_passage_each_challenge_says_its_own_bars():
    run = Challenge(0, ChallengeKind.RUN, 0.9, 2, numbers=named(notes=16, quarters=0.25))
    entrance = Challenge(1, ChallengeKind.EXPOSED_ENTRANCE, 0.6)
    numbers = ("1", "2", "3", "4")
    assert spot_words(Spot(0, (run, entrance), 2), numbers) == (
        "Bars 1–3: run of 16 sixteenths; entrance alone: no other part begins with you in bar 2."
    )
    assert spot_words(Spot(1, (run,), 1), numbers) == "Bar 2: run of 16 sixteenths in bars 1–3."


def test_the_sentence_of_a_spot_is_that_of_the_part_s_spot_in_its_place():
    spots = tuple(Spot(m, (Challenge(m, ChallengeKind.CROSS_RHYTHM, 0.7),), m) for m in (0, 2))
    part = PartProfile("Oboe", "oboe", 0, 9, None, None, None, spots=spots)
    profile = make_profile(parts=(part,), measure_numbers=NUMBERS)
    fact = Fact(FactKind.SPOT, "Oboe", ((2, 2),))
    assert sentence_of(fact, profile) == "Bar 3: triplets against even notes in other parts."
