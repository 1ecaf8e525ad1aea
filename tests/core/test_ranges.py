"""Ranges by instrument and level: published cells beside the program's, and laws for any level."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.core.instruments import INSTRUMENTS, SOURCES, get_instrument
from planner.core.pitch import STEPS, Pitch
from tests.checks import some

LEVELS = (0.5, 1, 1.5, 2, 3, 4, 5, 6)
LEVELLED = [instrument for instrument in INSTRUMENTS if instrument.by_level]


def rows(text):
    """``"flute 2 C4 Eb6 | …"`` as ``{(id, 2.0): ("C4", "Eb6")}``."""
    found = {}
    for row in text.replace("\n", "|").split("|"):
        if row.strip():
            id_, level, low, high = row.split()
            found[id_, float(level)] = (low, high)
    return found


def midi(span):
    return tuple(float(Pitch.parse(name).midi) for name in span)


def printed(span):
    return " to ".join(name.replace("b", "♭").replace("#", "♯") for name in span)


def cell_of(id_, level):
    return dict(get_instrument(id_).by_level)[level]


def span_of(cell):
    return str(cell.low), str(cell.high)


# Written ranges of a band publisher's grading chart: nemusicpub.com/grading. It prints letters; the octaves
# are those of the usual first notes. "Sax" is read for the alto and, from grade 1, for the tenor;
# "Trombone & Baritone" for both. The clarinet of grade 1½ and the second clarinet have no letters.
PUBLISHER = rows("""
    flute 0.5 Bb4 A5 | flute 1 G4 C6 | flute 1.5 F4 D6 | flute 2 C4 F6
    oboe 0.5 Bb4 A5 | oboe 1 E4 A5 | oboe 1.5 D4 A5 | oboe 2 C4 B5
    clarinet-bflat 0.5 A3 Bb4 | clarinet-bflat 1 E3 Bb4 | clarinet-bflat 2 E3 A5
    saxophone-alto 0.5 G4 F5 | saxophone-alto 1 E4 A5 | saxophone-alto 1.5 D4 B5 | saxophone-alto 2 C4 C6
    saxophone-tenor 1 E4 A5 | saxophone-tenor 1.5 D4 B5 | saxophone-tenor 2 C4 C6
    trumpet-bflat 0.5 C4 Bb4 | trumpet-bflat 1 C4 C5 | trumpet-bflat 1.5 B3 D5 | trumpet-bflat 2 A3 E5
    horn-f 0.5 C4 A4 | horn-f 1 A3 A4 | horn-f 1.5 A3 B4 | horn-f 2 G3 C5
    trombone 0.5 D3 Bb3 | trombone 1 Bb2 Bb3 | trombone 1.5 A2 C4 | trombone 2 G2 D4
    euphonium 0.5 D3 Bb3 | euphonium 1 Bb2 Bb3 | euphonium 1.5 A2 C4 | euphonium 2 G2 D4
    baritone-horn 0.5 D3 Bb3 | baritone-horn 1 Bb2 Bb3 | baritone-horn 1.5 A2 C4 | baritone-horn 2 G2 D4
    tuba 0.5 D2 Bb2 | tuba 1 Bb1 C3 | tuba 1.5 Bb1 D3 | tuba 2 A1 D3
""")

# Teaching Music through Performance in Beginning Band, grades 1 and 2, quoted by banddirectorstalkshop.com.
BEGINNING_BAND = rows("""
    flute 1 Eb4 C6 | flute 2 C4 Eb6 | clarinet-bflat 1 E3 Bb4 | clarinet-bflat 2 E3 C6
    trumpet-bflat 1 Bb3 D5 | trumpet-bflat 2 G3 F5 | trombone 1 Ab2 C4 | trombone 2 F2 Eb4
""")

# Choirs: a chamber choir's usual (level 4) and stretched ranges, bristolacappella.co.uk/range-check.
USUAL_VOICES = rows("soprano 4 C4 A5 | mezzo-soprano 4 A3 F5 | alto 4 F3 D5 | tenor 4 D3 A4 "
                    "| baritone-voice 4 B2 F4 | bass-voice 4 G2 D4")  # fmt: skip
STRETCHED_VOICES = rows("soprano 6 A3 C6 | mezzo-soprano 6 F3 G5 | alto 6 D3 E5 | tenor 6 B2 C5 "
                        "| baritone-voice 6 G2 A4 | bass-voice 6 C2 F4")  # fmt: skip

# Best players. Sources: orchestralibrary.com/reftables/rang.html (OL), studystack.com/flashcard-697185 (SS),
# trpercussion.com (TP), hansenmedia.net (HM), the article on the pitch of brass instruments (PB). Where a
# source gives two figures the wider stands here. M: the end is from memory.
BEST = {
    "piccolo": "D4 C7 OL", "flute": "B3 D7 OL", "flute-alto": "C4 C7 OL", "oboe": "Bb3 A6 SS+M",
    "oboe-damore": "Bb3 E6 OL", "english-horn": "B3 G6 OL", "clarinet-bflat": "E3 C7 OL",
    "clarinet-c": "E3 C7 OL", "clarinet-a": "E3 C7 OL", "clarinet-d": "E3 C7 OL",
    "clarinet-eflat": "E3 C7 OL", "basset-horn": "C3 G6 OL", "clarinet-bass": "C3 G6 OL",
    "bassoon": "Bb1 E5 SS+M", "contrabassoon": "Bb1 Bb4 SS+M", "saxophone-alto": "Bb3 F6 SS",
    "saxophone-tenor": "Bb3 F6 SS", "saxophone-baritone": "A3 F6 M+SS", "horn-f": "F#2 C6 SS",
    "trumpet-bflat": "F#3 C6 SS", "trombone": "E2 C5 SS", "euphonium": "E2 Db5 SS",
    "euphonium-treble": "F#3 C6 SS", "tuba": "D1 D4 SS", "xylophone": "F3 C7 TP", "glockenspiel": "G3 C6 HM",
    "vibraphone": "F3 F6 TP", "marimba": "C2 C7 TP", "crotales": "C4 F6 TP", "timpani": "C2 C4 TP",
    "violin": "G3 E7 SS", "viola": "C3 A6 SS", "cello": "C2 C6 SS", "double-bass": "C2 G4 SS",
}  # fmt: skip
THREE_VALVES = ("trumpet-bflat", "trumpet-c", "trumpet-d", "trumpet-eflat", "cornet-bflat", "cornet-a",
                "cornet-eflat", "flugelhorn")  # fmt: skip

# Common practice, from memory, as beginner, intermediate, advanced and professional written ranges.
_USUAL = """
    piccolo - D4 Bb6 D4 Bb6 D4 C7 | flute Bb4 A5 C4 G6 C4 Bb6 B3 D7 | oboe E4 A5 C4 D6 Bb3 F6 Bb3 A6
    bassoon F2 C4 E2 Eb4 Bb1 Bb4 Bb1 E5 | clarinet-eflat - E3 C6 E3 E6 E3 A6
    clarinet-bflat E3 Bb4 E3 C6 E3 F6 E3 C7 | clarinet-alto E3 Bb4 E3 C6 Eb3 D6 Eb3 G6
    clarinet-bass E3 Bb4 Eb3 G5 Eb3 C6 C3 G6 | saxophone-alto E4 A5 C4 C6 Bb3 Eb6 Bb3 F#6
    saxophone-tenor E4 A5 C4 C6 Bb3 Eb6 Bb3 F#6 | saxophone-baritone E4 A5 C4 C6 Bb3 D6 A3 F6
    trumpet-bflat Bb3 D5 G3 G5 G3 Bb5 F#3 C6 | cornet-bflat Bb3 D5 G3 G5 G3 Bb5 F#3 C6
    horn-f A3 A4 G3 E5 F3 G5 F#2 C6 | trombone Ab2 C4 F2 F4 E2 G4 E2 C5
    euphonium Ab2 C4 F2 F4 E2 G4 E2 Db5 | euphonium-treble Bb3 D5 G3 G5 F#3 A5 F#3 C6
    tuba Bb1 C3 F1 Eb3 F1 G3 D1 D4 | xylophone G4 C6 F4 G6 F4 C7 F3 C7 | glockenspiel Bb4 C6 G3 C6 G3 C6 G3 C6
    vibraphone F4 F5 F3 F6 F3 F6 F3 F6 | marimba C4 C6 C3 C6 A2 C7 C2 C7 | timpani F2 F3 F2 F3 D2 G3 C2 C4
    violin G3 B5 G3 D6 G3 A6 G3 C7 | viola C3 E5 C3 G5 C3 D6 C3 A6 | cello C2 D4 C2 A4 C2 E5 C2 C6
    double-bass E2 A3 E2 D4 E2 G4 C2 D5
"""
TIERS = {"beginner": (0.5, 1), "intermediate": (2, 3), "advanced": (4, 5), "professional": (6,)}
WIDER = {
    ("horn-f", "advanced"): "third and fourth horns of repertoire of this level go down to C3",
    ("euphonium-treble", "professional"): "the same instrument in bass clef has D♭5, which is written E♭6",
    ("marimba", "intermediate"): "between C6 of level 2 and C7 of level 4",
}
"""Where the program goes further than the tiers of common practice, and why."""


def usual_cells():
    for row in _USUAL.replace("\n", "|").split("|"):
        id_, *names = row.split() or [""]
        if names[:1] == ["-"]:
            names = [None, *names]
        for tier, (low, high) in zip(TIERS, zip(names[::2], names[1::2], strict=True), strict=bool(id_)):
            if low:
                yield id_, tier, (low, high)


@pytest.mark.parametrize(("id_", "level"), PUBLISHER | BEGINNING_BAND)
def test_each_cell_of_the_two_band_charts_is_the_programs(id_, level):
    """The quoted book goes first: it says which octave it means. Nothing shrinks as the level rises."""
    cell, published = cell_of(id_, level), PUBLISHER.get((id_, level))
    book = BEGINNING_BAND.get((id_, level))
    if book:
        assert span_of(cell) == book
        assert SOURCES["TM"] in cell.source
    elif SOURCES["NE"] in cell.source:
        reached = [midi(span_of(cell_of(id_, one))) for one, _ in get_instrument(id_).by_level if one < level]
        lows, highs = zip(midi(published), *reached, strict=True)
        assert midi(span_of(cell)) == (min(lows), max(highs))
    else:
        assert cell.source == SOURCES["M"], "wider than the chart, and nobody is cited for it"
    if published and span_of(cell) != published:
        assert printed(published) in cell.disputed


@pytest.mark.parametrize(("id_", "published"), BEST.items())
def test_each_published_full_range_is_the_professionals_or_the_instruments(id_, published):
    low, high, _ = published.split()
    instrument, ends = get_instrument(id_), midi((low, high))
    full, best = instrument.full, instrument.by_level[-1][1]
    assert full.low_midi <= ends[0]
    assert full.high_midi >= ends[1]
    if midi(span_of(full)) != ends and midi(span_of(best)) != ends:
        assert "published" in full.disputed + best.disputed or full.source.startswith("moved from")
    if full.low_midi < ends[0] or full.high_midi > ends[1]:
        assert full.source != SOURCES[published.split()[2].split("+")[0]], "wider than the source it names"


@pytest.mark.parametrize("id_", THREE_VALVES)
def test_a_brass_instrument_of_three_valves_is_written_from_f_sharp_to_the_tenth_harmonic(id_):
    """F♯3 to E6, whatever its key: the article on the pitch of brass instruments."""
    assert span_of(get_instrument(id_).full) == ("F#3", "E6")


@pytest.mark.parametrize(
    ("id_", "low", "high"),
    [
        ("trombone-alto", None, "F5"), ("trombone", "C2", "F5"), ("tuba", None, "F4"),
        ("trombone-bass", "C1", None), ("euphonium", "Bb1", None), ("trumpet-piccolo-bflat", "C#3", None),
    ],
)  # fmt: skip
def test_triggers_fourth_valves_and_the_high_notes_of_professionals_are_on_the_instrument(id_, low, high):
    """Common practice, from memory: a valve that lowers by a fourth, and pedal notes of the large bores."""
    full = get_instrument(id_).full
    assert low in (None, str(full.low))
    assert high in (None, str(full.high))


@pytest.mark.parametrize(("id_", "tier", "span"), usual_cells())
def test_each_tier_of_common_practice_is_reached_within_its_levels(id_, tier, span):
    if (id_, tier) in WIDER:
        low, high = get_instrument(id_).comfortable(TIERS[tier][-1])
        assert low <= midi(span)[0]
        assert high >= midi(span)[1]
    else:
        assert midi(span) in [get_instrument(id_).comfortable(level) for level in TIERS[tier]]


@pytest.mark.parametrize(
    ("id_", "open_string", "letters", "level", "position"),
    [
        # Positions: zicatomusic.com/grade-levels, kendormusic.com, docslib.org/doc/12446430. In first
        # position the fourth finger is a fifth above the open string, on a cello a fourth.
        ("violin", "E5", 4, 1, 1), ("violin", "E5", 4, 2, 3), ("violin", "E5", 4, 3, 3),
        ("violin", "E5", 4, 4, 5), ("viola", "A4", 4, 1, 1), ("viola", "A4", 4, 2, 3),
        ("viola", "A4", 4, 3, 3),
        ("cello", "A3", 3, 1, 1), ("cello", "A3", 3, 2, 3),
    ],
)  # fmt: skip
def test_strings_reach_the_fourth_finger_of_the_position_their_grade_charts_name(
    id_, open_string, letters, level, position
):
    cell = cell_of(id_, level)
    octave, step = divmod(Pitch.parse(open_string).diatonic + letters + position - 1, 7)
    assert (cell.high.step, cell.high.octave) == (STEPS[step], octave)
    assert cell.source == SOURCES["ST"]


@pytest.mark.parametrize(("id_", "level"), USUAL_VOICES | STRETCHED_VOICES)
def test_singers_reach_what_a_choir_asks_of_them(id_, level):
    """Usual at level 4, stretched at 6, and whatever is stretched is a note of the voice."""
    voice, ends = get_instrument(id_), midi((USUAL_VOICES | STRETCHED_VOICES)[id_, level])
    low, high = voice.comfortable(level)
    assert low <= ends[0] + (1 if level == 6 and id_ == "mezzo-soprano" else 0)
    assert high >= ends[1]
    assert voice.full.low_midi <= low
    assert voice.full.high_midi >= high


def test_young_voices_stay_in_the_ranges_of_middle_schools_and_of_volunteers():
    """c4net.work: soprano to F5, alto from B♭3, bass B♭2 to D4. A director's list for church choirs: alto G3
    to C5, tenor C3 to E4 with F4, bass F2 to C4 with D4."""
    assert get_instrument("soprano").comfortable(2)[1] == midi(["F5"])[0]
    assert get_instrument("alto").comfortable(1)[0] == midi(["Bb3"])[0]
    assert get_instrument("bass-voice").comfortable(1) == midi(("Bb2", "D4"))
    assert get_instrument("alto").comfortable(2) == midi(("G3", "C5"))
    assert get_instrument("tenor").comfortable(2) == midi(("C3", "F4"))
    assert get_instrument("bass-voice").comfortable(2) == midi(("F2", "D4"))


def test_a_bass_trombone_of_the_middle_levels_has_its_pedal_b_flat():
    """Grade levels 3 and 4 of armyfieldband.com; lead trumpets of these levels go to C6 and D6 there."""
    assert span_of(cell_of("trombone-bass", 4)) == ("Bb1", "F4")


CHARTS = {"NE": PUBLISHER, "TM": BEGINNING_BAND}


@pytest.mark.parametrize("instrument", LEVELLED, ids=lambda i: i.id)
def test_a_chart_is_cited_only_for_what_it_has(instrument):
    """A cell that names a chart is one of its rows; a table of full ranges is cited at level 6 alone."""
    taken = ("as on the ", "moved from the ")
    own = [(level, cell) for level, cell in instrument.by_level if not cell.source.startswith(taken)]
    charted = {key: [level for id_, level in chart if id_ == instrument.id] for key, chart in CHARTS.items()}
    for key in CHARTS:
        cited = [level for level, cell in own if SOURCES[key] in cell.source]
        assert [level for level in cited if not any(one <= level for one in charted[key])] == []
        alone = [level for level, cell in own if cell.source == SOURCES[key]]
        assert set(alone) <= set(charted[key])
    full = [level for level, cell in own for key in ("OL", "SS", "TP", "HM") if SOURCES[key] in cell.source]
    assert full == ([6] if full else [])
    assert not full or instrument.id in BEST


def test_a_cell_that_is_taken_from_another_instrument_names_it_and_its_source():
    assert cell_of("trumpet-c", 2).source.startswith("as on the B♭ Trumpet (Teaching Music through")
    assert cell_of("horn-d", 0.5).source.startswith("moved from the Horn in F (Grading chart")


@pytest.mark.parametrize(
    "ids",
    [("clarinet-bflat", "clarinet-a", "clarinet-c"), ("trumpet-bflat", "trumpet-c"),
     ("cornet-bflat", "cornet-a"), ("trumpet-piccolo-bflat", "trumpet-piccolo-a")],
)  # fmt: skip
def test_instruments_that_are_fingered_alike_are_written_alike(ids):
    first, *others = (get_instrument(id_) for id_ in ids)
    for other in some(others):
        assert [other.comfortable(level) for level in LEVELS] == [
            first.comfortable(level) for level in LEVELS
        ]
        assert span_of(other.full) == span_of(first.full)


SAME_INSTRUMENT = [
    *(("horn-f", i.id) for i in INSTRUMENTS if i.group == "horn-f" and i.id != "horn-f"),
    ("trumpet-bflat", "trumpet-a"), ("trumpet-bflat", "trumpet-g"), ("euphonium", "euphonium-treble"),
    ("baritone-horn", "baritone-horn-treble"), ("trombone", "trombone-treble"),
    ("tuba", "tuba-bflat-treble"),
]  # fmt: skip


@pytest.mark.parametrize(("one", "other"), SAME_INSTRUMENT)
def test_one_instrument_read_in_two_keys_or_clefs_sounds_the_same(one, other):
    one, other = get_instrument(one), get_instrument(other)
    shift = other.transposition.semitones - one.transposition.semitones
    for level in LEVELS:
        assert [end + shift for end in other.comfortable(level)] == list(one.comfortable(level))
    assert (other.full.low_midi + shift, other.full.high_midi + shift) == (
        one.full.low_midi,
        one.full.high_midi,
    )


def test_smaller_trumpets_are_written_no_higher_than_larger_ones():
    order = [get_instrument(f"trumpet-{key}") for key in ("c", "d", "eflat", "e", "f")]
    for larger, smaller in some(pairwise(order)):
        assert all(smaller.comfortable(level)[1] <= larger.comfortable(level)[1] for level in LEVELS)


# The first five notes of usual methods, as written; common practice.
FIRST_NOTES = {
    "flute": "Bb4 F5", "oboe": "Bb4 F5", "clarinet-bflat": "C4 G4", "clarinet-alto": "C4 G4",
    "clarinet-bass": "C4 G4", "saxophone-alto": "G4 D5", "saxophone-tenor": "C5 G5",
    "saxophone-baritone": "G4 D5", "bassoon": "Bb2 F3", "trumpet-bflat": "C4 G4", "cornet-bflat": "C4 G4",
    "horn-f": "C4 G4", "euphonium-treble": "E4 G4", "trombone": "D3 F3", "tuba": "D2 F2",
    "violin": "D4 A4", "viola": "D4 A4", "cello": "D3 A3", "double-bass": "A2 D3",
    "recorder-soprano": "G4 D5",
    "soprano": "D4 A4", "alto": "D4 A4", "bass-voice": "C3 G3", "guitar": "E4 G5", "glockenspiel": "Bb4 F5",
}  # fmt: skip


@pytest.mark.parametrize(("id_", "span"), FIRST_NOTES.items())
def test_beginners_reach_their_first_notes(id_, span):
    low, high = get_instrument(id_).comfortable(0.5)
    assert low <= midi(span.split())[0]
    assert high >= midi(span.split())[1]


@pytest.mark.parametrize("instrument", LEVELLED, ids=lambda i: i.id)
def test_beginners_have_a_fifth_at_least_around_the_middle_of_what_level_three_reaches(instrument):
    low, high = instrument.comfortable(0.5)
    middle = sum(instrument.comfortable(3)) / 2
    assert high - low >= 7
    assert low - 2 <= middle <= high + 2


levels = st.floats(0.5, 6)


@given(st.sampled_from(LEVELLED), levels, levels)
def test_better_players_never_reach_less_far_and_nobody_leaves_the_instrument(instrument, one, other):
    (low, high), (wide_low, wide_high) = (instrument.comfortable(level) for level in sorted((one, other)))
    assert instrument.full.low_midi <= wide_low <= low < high <= wide_high <= instrument.full.high_midi


@given(st.sampled_from(LEVELLED), levels, st.floats(0, 1))
def test_reach_grows_without_a_jump(instrument, level, step):
    """At most fourteen semitones a level (the clarinet's break), and nine from level 4 on."""
    (low, high), (wide_low, wide_high) = (
        instrument.comfortable(each) for each in (level, min(6, level + step))
    )
    most = (9 if level >= 4 else 14) * step + 1e-6
    assert low - wide_low <= most
    assert wide_high - high <= most


@given(st.sampled_from([i for i in INSTRUMENTS if i.full and not i.by_level]), levels)
def test_every_key_of_a_keyboard_is_in_everyones_reach(instrument, level):
    assert instrument.comfortable(level) == (instrument.full.low_midi, instrument.full.high_midi)


def test_a_level_outside_the_scale_has_the_reach_of_its_end():
    flute = get_instrument("flute")
    assert (flute.comfortable(0), flute.comfortable(9)) == (flute.comfortable(0.5), flute.comfortable(6))
