"""Meter, tempo, roadmap, keys, harmony and minutes of whole pieces, against the bare files."""

from dataclasses import replace

import pytest

from planner.core.fact import FactKind
from tests.reference import reference_data, reference_folder, sampled
from tests.study import fact_checks_roadmap, fact_checks_time, fact_checks_tonal
from tests.study.fact_checks import SAMPLES, is_comparable, read_twice, sample, verdicts

CHECKS = {**fact_checks_time.CHECKS, **fact_checks_roadmap.CHECKS, **fact_checks_tonal.CHECKS}
QUICK = ("lantern-street", "fairground-march", "shenandoah", "brother-johns-round")
REFERENCE = reference_folder()
MOVEMENTS = sampled(sorted((REFERENCE / "ensembles").rglob("*.mxl")), 12) if REFERENCE else []
EVERY = [
    *(pytest.param(path, id=path.stem) for path in SAMPLES if path.stem in QUICK),
    *(
        pytest.param(path, id=path.stem, marks=pytest.mark.slow)
        for path in sampled((path for path in SAMPLES if path.stem not in QUICK), 12)
    ),
    *(pytest.param(path, id=path.stem[:40], marks=pytest.mark.slow) for path in MOVEMENTS),
]


@pytest.mark.parametrize("path", EVERY)
def test_every_fact_is_in_its_file(path):
    bare, profile = read_twice(path)
    if not is_comparable(bare, profile):
        pytest.skip("the reader divides the parts or bars of this file in its own way")
    found = list(verdicts(CHECKS, bare, profile))
    assert [fact for fact, verdict in found if verdict is False] == []
    assert [verdict for _, verdict in found if verdict]


def test_the_four_sample_pieces_have_facts_of_almost_every_kind_to_check():
    found = [fact.kind for name in QUICK for fact, verdict in verdicts(CHECKS, *sample(name)) if verdict]
    elsewhere = {K.AGAINST_METER, K.OWN_METER, K.MARKS_LACKING, K.NOTHING_FITS}
    assert set(CHECKS) - set(found) <= elsewhere
    assert len(found) > 200


def with_fact(profile, changed, /, **changes):
    """The profile with its first fact of a kind changed."""
    at = next(at for at, fact in enumerate(profile.facts) if fact.kind is changed)
    facts = list(profile.facts)
    facts[at] = replace(facts[at], **changes)
    return replace(profile, facts=tuple(facts))


def fact_of(profile, kind):
    return next(fact for fact in profile.facts if fact.kind is kind)


def with_number(profile, kind, name, add):
    fact = fact_of(profile, kind)
    numbers = tuple((each, value + add if each == name else value) for each, value in fact.numbers)
    return with_fact(profile, kind, numbers=numbers)


def moved(profile, kind, first=0, last=0):
    """The profile with the places of its first fact of a kind shifted."""
    places = tuple((one + first, two + last) for one, two in fact_of(profile, kind).places)
    return with_fact(profile, kind, places=places)


def with_first_meter(profile, time):
    return replace(profile, meters=(replace(profile.meters[0], time=time), *profile.meters[1:]))


def with_turn(profile, **changes):
    return replace(
        profile, tempo_turns=(replace(profile.tempo_turns[0], **changes), *profile.tempo_turns[1:])
    )


def with_tempo(profile, **changes):
    return replace(profile, tempo_bpm=replace(profile.tempo_bpm, **changes))


def played(profile, order):
    return replace(profile, roadmap=replace(profile.roadmap, play_order=tuple(order)))


def lacking(profile, mark):
    """The profile in which the first part is said to lack a mark of its page."""
    fact = replace(
        fact_of(profile, FactKind.ROADMAP),
        kind=FactKind.MARKS_LACKING,
        part=profile.parts[0].name,
        numbers=(("mark", mark),),
    )
    return replace(profile, facts=(*profile.facts, fact))


K = FactKind
FALSE = {
    "another meter": ("lantern-street", K.METER, lambda p: with_first_meter(p, "3/4")),
    "a beat too many": ("fairground-march", K.METER, lambda p: with_number(p, K.METER, "beats", 1)),
    "a longer pickup": ("shenandoah", K.PICKUP, lambda p: with_number(p, K.PICKUP, "quarters", 0.5)),
    "a change of meter a bar late": (
        "shenandoah",
        K.METER_CHANGES,
        lambda p: moved(p, K.METER_CHANGES, 1, 1),
    ),
    "a metronome mark that is not there": (
        "lantern-street",
        K.TEMPO,
        lambda p: with_tempo(p, source="metronome", marked=61.0),
    ),
    "a tempo that turns a bar early": (
        "shenandoah",
        K.TEMPO_TURNS,
        lambda p: with_turn(p, measure=p.tempo_turns[0].measure - 1),
    ),
    "a reading above the tempo": ("lantern-street", K.READING_TEMPO, lambda p: with_tempo(p, reading=400)),
    "a section read faster than it goes": (
        "shenandoah",
        K.READING_TEMPO,
        lambda p: replace(p, tempos=(*p.tempos[:-1], replace(p.tempos[-1], first_reading=300))),
    ),
    "a busier part than there is": (
        "fairground-march",
        K.READING_TEMPO,
        lambda p: with_number(p, K.READING_TEMPO, "notes_a_second", 5),
    ),
    "a minute too long": (
        "lantern-street",
        K.PLAYING_TIME,
        lambda p: with_number(p, K.PLAYING_TIME, "seconds", 60),
    ),
    "straight through over a repeat": (
        "fairground-march",
        K.PLAYED_STRAIGHT,
        lambda p: with_fact(p, K.ROADMAP, kind=K.PLAYED_STRAIGHT),
    ),
    "a bar too many": ("lantern-street", K.ROADMAP, lambda p: with_number(p, K.ROADMAP, "written", 1)),
    "a jump where no page has a mark": (
        "fairground-march",
        K.ROADMAP,
        lambda p: played(p, (0, *p.roadmap.play_order[2:], 0)),
    ),
    "a closing repeat left out": (
        "fairground-march",
        K.ROADMAP_MARKS,
        lambda p: with_fact(p, K.ROADMAP_MARKS, numbers=fact_of(p, K.ROADMAP_MARKS).numbers[:1]),
    ),
    "a page that is said to lack what it has": (
        "fairground-march",
        K.MARKS_LACKING,
        lambda p: lacking(p, next(at for at, m in enumerate(p.roadmap.marks) if m.kind == "repeat-end")),
    ),
    "a step of the reading too long": (
        "fairground-march",
        K.WHOLE_FITS,
        lambda p: with_number(p, K.WHOLE_FITS, "first", 1),
    ),
    "a limit that the piece does not keep": (
        "fairground-march",
        K.WHOLE_FITS,
        lambda p: with_number(p, K.WHOLE_FITS, "limit", -8),
    ),
    "a passage over a turn of the roadmap": (
        "shenandoah",
        K.PASSAGE_FITS,
        lambda p: replace(
            moved(p, K.PASSAGE_FITS, last=999),
            excerpts=tuple(replace(e, end_measure=e.end_measure + 999) for e in p.excerpts),
        ),
    ),
    "another home key": ("lantern-street", K.HOME_KEY, lambda p: replace(p, home_key="E major")),
    "a mode that is not the music's": (
        "early-in-the-morning",
        K.HOME_KEY,
        lambda p: with_fact(p, K.HOME_KEY, terms=("Phrygian",), notes=("Db", "D")),
    ),
    "another key on the way": (
        "lantern-street",
        K.AWAY_FROM_HOME,
        lambda p: with_fact(p, K.AWAY_FROM_HOME, keys=("E major",), terms=()),
    ),
    "another relation": (
        "lantern-street",
        K.AWAY_FROM_HOME,
        lambda p: with_fact(p, K.AWAY_FROM_HOME, terms=("dominant",)),
    ),
    "an accidental once too often": (
        "lantern-street",
        K.KEY_ACCIDENTALS,
        lambda p: with_number(p, K.KEY_ACCIDENTALS, "times", 1),
    ),
    "an accidental a bar early": (
        "lantern-street",
        K.KEY_ACCIDENTALS,
        lambda p: moved(p, K.KEY_ACCIDENTALS, first=-1),
    ),
    "a cadence in another key": (
        "lantern-street",
        K.CADENCE,
        lambda p: with_fact(p, K.CADENCE, keys=("E major",), terms=("authentic",)),
    ),
    "another note at the close": (
        "lantern-street",
        K.CHORD_MEMBER,
        lambda p: with_fact(p, K.CHORD_MEMBER, notes=("E#",)),
    ),
    "another member of the chord": (
        "lantern-street",
        K.CHORD_MEMBER,
        lambda p: with_fact(
            p, K.CHORD_MEMBER, terms=("fifth" if fact_of(p, K.CHORD_MEMBER).terms != ("fifth",) else "root",)
        ),
    ),
    "another pedal note": (
        "brother-johns-round",
        K.PEDAL_POINT,
        lambda p: with_fact(p, K.PEDAL_POINT, notes=("F#",)),
    ),
    "another pedal note for its player": (
        "brother-johns-round",
        K.PEDAL_HELD,
        lambda p: with_fact(p, K.PEDAL_HELD, notes=("F#",)),
    ),
}
"""Sample piece, kind of fact, and what makes one of its facts false."""


@pytest.mark.parametrize("case", FALSE)
def test_a_planted_false_fact_is_found(case):
    name, kind, plant = FALSE[case]
    bare, profile = sample(name)
    assert False not in [verdict for _, verdict in verdicts(CHECKS, bare, profile)]
    found = [fact.kind for fact, verdict in verdicts(CHECKS, bare, plant(profile)) if verdict is False]
    assert kind in found


def facts_of(name, kind):
    return [fact for fact in sample(name)[1].facts if fact.kind is kind]


def test_the_coda_of_lantern_street_is_in_its_home_key_again():
    [away] = facts_of("lantern-street", K.AWAY_FROM_HOME)
    assert (away.places, away.keys, away.terms) == (((20, 35),), ("Bb major",), ("relative major",))


def test_a_close_is_where_a_phrase_ends_and_not_where_one_sets_out():
    closes = {fact.places[0][0]: fact for fact in facts_of("lantern-street", K.CADENCE)}
    assert (closes[27].terms, closes[27].keys) == (("authentic",), ("Bb major",))
    assert not {24, 32} & set(closes)


@pytest.mark.slow
def test_a_pedal_does_not_turn_a_key_into_its_neighbour():
    """Beethoven, op. 21, third movement, bars 21–36: D flat major, with C natural in the bass line."""
    [path] = sorted((reference_data() / "ensembles" / "orchestra").glob("Beethoven_Op.21_3.mxl"))
    _, profile = read_twice(path)
    keys = {fact.keys: fact.places for fact in profile.facts if fact.kind is K.AWAY_FROM_HOME}
    assert any(abs(first - 20) <= 2 and abs(last - 35) <= 2 for first, last in keys["Db major",])
    assert not any(first <= 35 and last >= 20 for first, last in keys.get(("Gb major",), ()))
