"""What the room sees of a piece, held against the notes of the score itself."""

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest

from planner.adapters.scores.reader import read_score
from planner.config import packaged
from planner.core.day_clock import StepKind
from planner.core.ensemble import Ensemble, Section
from planner.core.fact import Fact, FactKind, Topic, named
from planner.core.piece import ON_PAPER, Piece, SourceFile
from planner.core.profile import (
    FormSection,
    MelodySpan,
    MeterSpan,
    PartProfile,
    Roadmap,
    Tempo,
    TempoSpan,
)
from planner.core.term import Slot, Term
from planner.errors import DrawingBusyError
from planner.services.beat.count_off import count_off
from planner.services.day.read_day import DayView, SlotView
from planner.services.day_page.prompts import LONGEST, Scope, study_prompts
from planner.services.day_page.room_piece import read_starting_notes, room_piece
from planner.services.day_page.strip import MOST_PASSAGES, roadmap_strip
from planner.services.day_page.turns import turns_of
from planner.study.on_paper import profile_on_paper
from planner.study.study import study
from tests.checks import some
from tests.fakes import FakeFiles, make_profile, make_source

DAY = date(2026, 9, 1)
BLANK = Piece(1, "Rondo", "", "", "", None, None, None, "", (), 0, 0.0, make_source(), DAY)
READING_ORDER = [
    Topic.METER, Topic.ROADMAP, Topic.FORM, Topic.KEY, Topic.HARMONY, Topic.ACCIDENTALS, Topic.SPOTS,
    Topic.PATTERNS, Topic.EXPRESSION,
]  # fmt: skip
SOFT_TO_LOUD = ["ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"]
LINE = "FCGDAEB"


@pytest.fixture(scope="module")
def scores():
    """Of some pieces the score and its study: one with a pickup, one with a repeat in 6/8."""
    paths = [packaged("sample_library") / f"{name}.mxl" for name in ("go-down-moses", "windmill")]
    return [(score, study(score)) for score in map(read_score, paths)]


def scope_of(profile, **changes):
    names = tuple(part.name for part in profile.parts)
    return replace(Scope(0, profile.measures - 1, True, names[0], names), **changes)


def prompts_of(profile, **changes):
    found = study_prompts(profile, BLANK, scope_of(profile, **changes))
    return {prompt.topic: prompt.sentence for prompt in found}


def foreign_bars(part):
    """The bars in which a part has a note that its signature does not hold, from the bare notes."""
    found = set()
    for note in part.notes:
        if note.pitch is None or not note.is_struck:
            continue
        fifths = [k.fifths for k in part.keys if k.staff == note.staff
                  and (k.measure, k.onset_quarters) <= (note.measure, note.onset_quarters)][-1]  # fmt: skip
        signed = LINE[:fifths] if fifths > 0 else LINE[fifths:] if fifths < 0 else ""
        alter = (1 if fifths > 0 else -1) if note.pitch.step in signed else 0
        if note.pitch.alter != alter:
            found.add(note.measure)
    return found


def test_the_prompts_come_in_reading_order_and_are_short(scores):
    for _, profile in some(scores):
        topics = list(prompts_of(profile))
        assert topics == [topic for topic in READING_ORDER if topic in topics]
        assert len(topics) >= 7
        assert all(0 < len(sentence) <= LONGEST for sentence in prompts_of(profile).values())


def test_the_bar_with_most_accidentals_is_that_of_the_bare_notes(scores):
    for score, profile in some(scores):
        bars = [foreign_bars(part) for part in score.parts if any(n.pitch for n in part.notes)]
        counts = {at: sum(at in each for each in bars) for at in set().union(*bars)}
        sentence = prompts_of(profile)[Topic.ACCIDENTALS]
        if not counts:
            assert sentence == "Every note is in the signature."
            continue
        most = max(counts, key=lambda at: (counts[at], -at))
        number = score.measures[most].number
        assert sentence.startswith(f"Outside the signature: bar {number}, in {counts[most]} part")


def test_softest_and_loudest_are_those_on_the_pages(scores):
    for score, profile in some(scores):
        marks = [(SOFT_TO_LOUD.index(d.mark), d.measure) for part in score.parts for d in part.dynamics
                 if d.mark in SOFT_TO_LOUD]  # fmt: skip
        softest, loudest = min(marks), min(marks, key=lambda each: (-each[0], each[1]))
        words = prompts_of(profile)[Topic.EXPRESSION]
        for rank, at in (softest, loudest):
            where = f"{SOFT_TO_LOUD[rank]} in bar {score.measures[at].number}"
            assert where in words.replace("the pickup", "bar 0")


def test_a_passage_speaks_of_nothing_beyond_its_bars(scores):
    for _, profile in some(scores):
        found = prompts_of(profile, first=8, last=15, is_whole=False)
        assert found[Topic.ROADMAP].startswith("Read bars ")
        assert "pickup" not in " ".join(found.values())
        whole = prompts_of(profile, is_whole=False)
        assert whole[Topic.ROADMAP] == "Once through: no repeats, no jumps today."
    _, moses = scores[0]
    low, high = (int(moses.measure_numbers[at]) for at in (8, 15))
    for topic in (Topic.HARMONY, Topic.SPOTS, Topic.ACCIDENTALS, Topic.EXPRESSION):
        words = prompts_of(moses, first=8, last=15, is_whole=False).get(topic, "")
        numbers = [int(word.strip(".,;:")) for word in words.replace("bars", "bar").split("bar ")[1:]
                   for word in word.split()[:1] if word.strip(".,;:").isdecimal()]  # fmt: skip
        assert all(low <= number <= high for number in numbers), words


def test_the_strip_is_the_order_of_play_and_its_shares_make_the_whole(scores):
    for _, profile in some(scores):
        strip = roadmap_strip(profile)
        played = [at for one in strip for at in range(one.first, one.last + 1)]
        assert tuple(played) == profile.roadmap.play_order
        assert sum(one.share for one in strip) == pytest.approx(1)
        assert len(strip) <= MOST_PASSAGES
    _, windmill = scores[1]
    assert [(one.bars, one.name) for one in roadmap_strip(windmill)][:3] == [
        ("1–4", "introduction"), ("5–20", "A"), ("5–20", "A"),
    ]  # fmt: skip
    within = roadmap_strip(windmill, (4, 27))
    assert [(one.first, one.last) for one in within] == [(4, 19), (20, 27)]


def test_a_strip_gives_a_slower_passage_more_time():
    profile = make_profile(
        measures=4, roadmap=Roadmap((0, 1, 2, 3)), form=(FormSection("A", 0, 1), FormSection("B", 2, 3)),
        tempos=(TempoSpan(0, 96.0, bpm=96.0, first_reading=90), TempoSpan(2, 48.0, bpm=48, first_reading=45)),
        measure_numbers=("1", "2", "3", "4"),
    )  # fmt: skip
    assert [round(one.share, 4) for one in roadmap_strip(profile)] == [0.3333, 0.6667]


def test_a_strip_of_many_sections_is_cut_at_jumps_alone():
    form = tuple(FormSection("A", at, at) for at in range(20))
    numbers = tuple(str(at + 1) for at in range(20))
    profile = make_profile(
        measures=20, roadmap=Roadmap((*range(20), 0, 1)), form=form, measure_numbers=numbers
    )
    assert [one.bars for one in roadmap_strip(profile)] == ["1–20", "1–2"]


@pytest.mark.parametrize(
    ("time", "grouping", "unit", "pickup", "counts"),
    [
        ("4/4", (1, 1, 1, 1), "quarter", 0, ((1, 2, 3, 4),)),
        ("4/4", (1, 1, 1, 1), "quarter", 1, ((1, 2, 3, 4), (1, 2, 3))),
        ("4/4", (1, 1, 1, 1), "half", 0, ((1, 2),)),
        ("3/4", (1, 1, 1), "quarter", 3, ((1, 2, 3),)),
        ("6/8", (3, 3), "dotted-quarter", 0, ((1, 2),)),
        ("6/8", (3, 3), "eighth", Fraction(1, 2), ((1, 2, 3, 4, 5, 6), (1, 2, 3, 4, 5))),
        ("6/8", (3, 3), "quarter", 0, ((1, 2, 3),)),
        ("5/4", (3, 2), "quarter", 0, ((1, 2, 3), (1, 2))),
        ("7/8", (2, 2, 3), "quarter", 0, ((1, 2), (1, 2), (1, 2, 3))),
        ("4/4", (1, 1, 1, 1), "quarter", Fraction(1, 2), ((1, 2, 3, 4), (1, 2, 3, 4))),
        ("3/4", (1, 1, 1), "dotted half", 1, ((1, 2, 3), (1, 2))),
        ("free", (), "quarter", 0, ()),
    ],
)
def test_one_bar_is_counted_off_and_the_beats_before_a_pickup(time, grouping, unit, pickup, counts):
    facts = (
        (Fact(FactKind.PICKUP, places=((0, 0),), numbers=named(quarters=float(pickup))),) if pickup else ()
    )
    profile = make_profile(
        meters=(MeterSpan(0, time, grouping),), tempo_bpm=Tempo(100.0, unit, 88), facts=facts
    )
    assert count_off(profile) == counts
    assert count_off(profile, 1) == counts[:1] if len(set(grouping)) < 2 else counts


def test_a_beat_too_slow_for_a_metronome_is_counted_in_its_halves():
    profile = make_profile(tempo_bpm=Tempo(36.0, "half", 32, first_reading=30))
    assert count_off(profile) == ((1, 2, 3, 4),)


PAPER = replace(
    BLANK, source=SourceFile(f"{ON_PAPER}a", "", 0, ""), time_signatures=("6/8", "2/4"), keys=("Eb major",),
    tempo=72.0, minutes=2.0, parts=("Flute", "Tuba"), home_key="Eb major",
)  # fmt: skip


def day_with(piece, profile, sections=(), featured=""):
    ensemble = Ensemble(1, "Group", sections=sections)
    term = Term(1, 1, "Fall", DAY, DAY, (1,))
    entry = SlotView(Slot(DAY, 0, piece.id, "rhythm", minutes=9.0), piece, profile, featured, (), 2.0)
    return DayView(term, ensemble, DAY, (entry,), None, None)


def only_piece(view):
    (turn,) = turns_of(view)
    return room_piece(turn.pieces[0], view)


def test_music_on_paper_says_what_is_known_and_what_to_look_for():
    shown = only_piece(day_with(PAPER, profile_on_paper(PAPER)))
    assert [prompt.topic for prompt in shown.prompts] == READING_ORDER
    sentences = {prompt.topic: prompt.sentence for prompt in shown.prompts}
    assert sentences[Topic.METER] == "6/8 and 2/4. Find every time signature."
    assert sentences[Topic.KEY].startswith("E♭ major. ")
    assert (shown.meter, shown.grouping, shown.counts, shown.tempo, shown.strip, shown.hard) == (
        "6/8", (), (), "", (), (),
    )  # fmt: skip
    bare = replace(PAPER, time_signatures=(), keys=(), home_key="")
    assert only_piece(day_with(bare, profile_on_paper(bare))).meter == ""


@pytest.mark.parametrize(
    ("first", "later", "shown"),
    [
        (69, (), ("quarter = 69", "quarter = 80")),
        (80, (), ("quarter = 80", "")),
        (None, (), ("quarter = 80", "")),
        (69, (TempoSpan(0, 80.0, bpm=80.0, first_reading=69),), ("quarter = 69", "quarter = 80")),
    ],
)
def test_the_second_reading_has_its_tempo_where_it_is_another(first, later, shown):
    profile = make_profile(tempo_bpm=Tempo(80.0, "quarter", 80, first_reading=first), tempos=later)
    piece = only_piece(day_with(BLANK, profile))
    assert (piece.tempo, piece.then) == shown


KEPT = FakeFiles()
KEPT.kept[BLANK.source.sha256] = b"a score"
CHOIR = make_profile(
    parts=(
        PartProfile("Soprano", "soprano", 0, 9, ("C4", "G5"), ("C4", "G5"), 2.0),
        PartProfile("Alto", "alto", 0, 9, ("A3", "C5"), ("A3", "C5"), 2.0),
        PartProfile("Piano", "piano", 0, 9, ("C2", "C6"), ("C2", "C6"), 2.0),
    ),
    melody=(MelodySpan(0, 0.0, "Alto"),),
)


class Singing:
    """Tells first notes; busy where it is told to be."""

    def __init__(self, notes):
        self.notes, self.asked = notes, []

    def first_notes(self, _clean, *, part, measure):
        self.asked.append((part, measure))
        if self.notes is None:
            raise DrawingBusyError("choir.mxl", "busy")
        return self.notes[part]


def test_singers_get_their_starting_notes_and_players_none():
    sections = (Section(1, "Sopranos", "soprano"), Section(2, "Altos", "alto"), Section(3, "Piano", "piano"))
    shown = only_piece(day_with(BLANK, CHOIR, sections, featured="Sopranos"))
    assert shown.scope.lead == "Soprano"
    found = read_starting_notes(Singing({0: ("Bb4", "G4"), 1: ()}), KEPT, shown)
    assert [(one.part, one.notes) for one in found] == [("Soprano", "B♭ and G")]
    assert read_starting_notes(Singing(None), KEPT, shown) == ()
    band = only_piece(day_with(BLANK, make_profile()))
    nobody = Singing({})
    assert read_starting_notes(nobody, KEPT, band) == ()
    assert nobody.asked == []
    assert read_starting_notes(Singing({0: ("C5",)}), FakeFiles(), shown) == (), "a score that is gone"


def test_without_a_featured_section_the_part_with_the_tune_leads():
    assert only_piece(day_with(BLANK, CHOIR)).scope.lead == "Alto"


def test_cautions_stand_at_the_steps_they_belong_to(scores):
    _, moses = scores[0]
    shown = only_piece(day_with(BLANK, moses))
    assert set(shown.cautions) == {StepKind.FIRST, StepKind.FIXING, StepKind.SECOND}
    assert "Protect your ears" in shown.cautions[StepKind.FIRST]
    assert "local rules" in shown.cautions[StepKind.SECOND]
    quiet = only_piece(day_with(BLANK, CHOIR))
    assert StepKind.FIRST not in quiet.cautions
    assert "Never push" in quiet.cautions[StepKind.FIXING]


def test_hard_bars_are_the_heaviest_of_the_featured_part(scores):
    _, moses = scores[0]
    part = next(part for part in moses.parts if len(part.spots) > 1)
    section = Section(4, part.name, part.instrument)
    shown = only_piece(day_with(BLANK, moses, (section,), featured=part.name))
    assert shown.scope.lead == part.name
    weights = [spot.weight for spot in some(shown.hard)]
    assert weights == sorted((spot.weight for spot in part.spots), reverse=True)[: len(weights)]
