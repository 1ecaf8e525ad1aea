"""Lines without a place to breathe are found, and the same lines with one are not."""

from dataclasses import replace

import pytest

from planner.core.pitch import Transposition
from planner.matching.playability import check_part
from planner.study.difficulty.evidence import gather
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score
from tests.study.difficulty.levels_help import facts_for

B_FLAT = Transposition(-1, -2)


def whole_slur(part):
    """One slur from the first to the last note."""
    first, *inner, last = part.notes
    return replace(part, notes=(replace(first, slurs_started=1), *inner, replace(last, slurs_stopped=1)))


def as_melisma(part):
    """One syllable over everything."""
    first, *rest = part.notes
    return replace(part, notes=(replace(first, lyric="A-"), *rest))


def run(pitches, value, bars, beats):
    """Bars of one note value, the pitches over and over."""
    each = beats * value
    notes = [f"{pitches[at % len(pitches)]}*1/{value}" for at in range(bars * each)]
    return " | ".join(" ".join(notes[bar * each : (bar + 1) * each]) for bar in range(bars))


def held(pitch, bars, beats):
    return " | ".join([f"{pitch}*{beats}~"] * (bars - 1) + [f"{pitch}*{beats}"])


UP = ("C5", "D5", "E5", "F5", "G5", "F5", "E5", "D5")
LOW = ("C3", "D3", "E3", "F3", "G3", "F3", "E3", "D3")
# Music, meter, quarters a minute, instrument, level, what binds it together. None has a rest, a mark, the end
# of a slur or a note long enough to be cut short; each lasts longer than anybody of the level can play.
TEN = {
    "flute, one slur over quarters": (run(UP, 1, 6, 4), "4/4", 88, "flute", 2.0, whole_slur),
    "clarinet, tongued sixteenths": (run(UP, 4, 8, 4), "4/4", 120, "clarinet-bflat", 3.0, None),
    "oboe, slurred eighths in three": (run(UP, 2, 14, 3), "3/4", 96, "oboe", 1.0, whole_slur),
    "bassoon, tongued eighths in six-eight": (run(LOW, 2, 12, 3), "6/8", 100, "bassoon", 2.5, None),
    "alto saxophone, slurred in five": (run(UP, 1, 8, 5), "5/4", 132, "saxophone-alto", 4.0, whole_slur),
    "trumpet, tied whole notes": (held("G4", 6, 4), "4/4", 72, "trumpet-bflat", 1.5, None),
    "horn, tied in two": (held("C4", 16, 2), "2/4", 108, "horn-f", 5.0, None),
    "trombone, quarters in one breath": (run(LOW, 1, 10, 3), "3/4", 144, "trombone", 1.0, whole_slur),
    "tuba, tongued eighths, quick": (run(("C2", "G2"), 2, 8, 4), "4/4", 160, "tuba", 3.5, None),
    "soprano, one long melisma": (run(UP, 2, 8, 4), "4/4", 80, "soprano", 3.0, as_melisma),
}  # fmt: skip


def breath_of(part, meter, bpm, level):
    score = make_score(part, time=meter)
    columns, facts = columns_of(score), facts_for(score, float(bpm))
    (each,) = gather(columns, facts).parts
    return next((check for check in check_part(each, facts, level) if check.kind == "breath"), None)


def line_of(name):
    music, meter, bpm, instrument, level, bind = TEN[name]
    part = make_part(music, name=name, instrument=instrument)
    return (bind(part) if bind else part), meter, bpm, level


@pytest.mark.parametrize("name", TEN)
def test_a_line_without_a_place_to_breathe_is_found_in_all_its_bars(name):
    part, meter, bpm, level = line_of(name)
    found = breath_of(part, meter, bpm, level)
    bars = {note.measure for note in part.notes}
    assert found is not None
    assert (set(found.measures), found.number("share")) == (bars, 1.0)
    assert found.number("seconds") > found.number("breath")


@pytest.mark.parametrize("name", TEN)
def test_the_same_line_with_a_breath_mark_in_each_bar_is_not(name):
    part, meter, bpm, level = line_of(name)
    last = {note.measure: at for at, note in enumerate(part.notes)}
    notes = list(part.notes)
    for at in last.values():
        notes[at] = replace(notes[at], articulations=("breath-mark",), tie_to_next=False)
    notes = [note if not note.tie_from_previous else replace(note, tie_from_previous=False) for note in notes]
    assert breath_of(replace(part, notes=tuple(notes)), meter, bpm, level) is None


def test_only_the_bars_without_a_place_are_named():
    tune = "C5*2 D5*2 | E5*2 r*2"
    part = make_part(f"{tune} | {run(UP, 4, 5, 4)} | {tune}", instrument="clarinet-bflat")
    found = breath_of(part, "4/4", 120, 1.0)
    assert found.measures == (2, 3, 4, 5, 6)


def test_one_long_stretch_in_a_long_part_is_below_the_share_worth_a_word():
    """Ten seconds of sixteenths are a twelfth of two minutes of half notes."""
    tune = " | ".join(["C5*2 D5*2"] * 55)
    assert (
        breath_of(make_part(f"{tune} | {run(UP, 4, 5, 4)}", instrument="clarinet-bflat"), "4/4", 120, 1.0)
        is None
    )


# A breath lasts five seconds at level 0.5 and eight at 2.0; of a flute three quarters of it.
@pytest.mark.parametrize(
    ("instrument", "level", "beats", "is_long"),
    [
        ("clarinet-bflat", 0.5, "5", False), ("clarinet-bflat", 0.5, "21/4", True),
        ("clarinet-bflat", 2.0, "8", False), ("clarinet-bflat", 2.0, "33/4", True),
        ("flute", 2.0, "6", False), ("flute", 2.0, "25/4", True), ("soprano", 2.0, "33/4", True),
        ("violin", 0.5, "40", False),
    ],
)  # fmt: skip
def test_a_breath_lasts_as_long_as_the_level_and_the_instrument_say(instrument, level, beats, is_long):
    found = breath_of(make_part(f"C5*{beats} | r*4", instrument=instrument), "4/4", 60, level)
    assert (found is not None) == is_long


def test_after_a_short_rest_a_breath_is_not_full():
    """Eight seconds use it up; a third of a second gives three quarters of it back, for six seconds."""
    for second, is_long in (("6", False), ("13/2", True)):
        part = whole_slur(make_part(f"C5*31/4 D5*1/4 r*1/3 C5*{second}", instrument="clarinet-bflat"))
        assert (breath_of(part, "4/4", 60, 2.0) is not None) == is_long
    rested = make_part("C5*31/4 D5*1/4 r*3/2 C5*8", instrument="clarinet-bflat")
    assert breath_of(rested, "4/4", 60, 2.0) is None


def test_a_player_alone_cannot_stagger_breaths_nor_alternate():
    part = make_part(" | ".join(["G5*4~"] * 8 + ["G5*4"]), instrument="clarinet-bflat", transposition=B_FLAT)
    score = make_score(part)
    columns, facts = columns_of(score), facts_for(score, 60.0)
    (each,) = gather(columns, facts).parts
    for players, breath, high in (
        (1, "leave a note", "rest in the tutti"),
        (2, "stagger breaths", "alternate players"),
    ):
        fixes = {check.kind: check.fix for check in check_part(each, facts, 1.0, players=players)}
        assert (fixes["breath"], fixes["time spent high"]) == (breath, high)
