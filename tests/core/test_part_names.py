"""The table of printed part names, the names of another library, and what must not change an answer."""

import unicodedata
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21.languageExcerpts import instrumentLookup

from planner.core.instruments import INSTRUMENTS, LANGUAGES, PartPage, recognise, recognise_together
from planner.core.pitch import Transposition
from planner.core.score import Clef
from tests.core.part_names import CLEFS, MORE, half, neighbours, rows

TREBLE, BASS, TENOR_VOICE, ALTO = CLEFS["treble"], CLEFS["bass"], CLEFS["treble-8vb"], CLEFS["alto"]
B_FLAT, B_FLAT_LOW, E_FLAT = Transposition(-1, -2), Transposition(-1, -2, -1), Transposition(-5, -9)


def test_the_table_holds_every_kind_of_set_and_names_of_the_table_alone():
    known = {instrument.id for instrument in INSTRUMENTS} | {"ask"}
    assert len(rows()) >= 300
    assert {row.kind for row in rows()} == {
        "band", "brass band", "orchestra", "strings", "choir", "jazz", "",
    }  # fmt: skip
    assert all(set(row.expected) <= known for row in rows())


@pytest.mark.parametrize("of", [1, 0], ids=["odd rows", "even rows"])
def test_printed_names_are_right_or_asked_and_seldom_asked(of):
    verdicts = {row: row.verdict() for row in half(of)}
    wrong = [
        (row.name, row.kind, row.found().instrument) for row, each in verdicts.items() if each == "wrong"
    ]
    asked = [row.name for row, each in verdicts.items() if each == "asked"]
    assert wrong == []
    assert len(asked) <= 0.05 * len(verdicts), asked


ABROAD = {
    "band": ("Flauta", "Requinto", "Clarinete 1º", "Saxofón alto", "Trompeta 1ª", "Bombardino", "Caja"),
    "brass band": ("Sopran Cornet", "Solo Cornet", "Flügelhorn", "2nd Horn", "1st Baritone", "Euphonium"),
    "orchestra": ("Flauti", "Oboi", "Fagotti", "Corni in Fa", "Violini I", "Viole", "Violoncelli"),
    "strings": ("Violine I", "Violine II", "Bratsche", "Violoncello"),
    "choir": ("Sopran", "Alt", "Klavier"),
    "jazz": ("Alto 1", "Tenor 1", "Trumpet", "Drums"),
}  # fmt: skip
"""Other parts again, in other languages and by their names alone."""


@pytest.mark.parametrize("around", ["abroad", "at concert pitch", "nobody"])
def test_other_neighbours_make_no_sure_answer_wrong(around):
    def others(kind):
        if around == "nobody":
            return ()
        if around == "abroad":
            return tuple(PartPage(name) for name in ABROAD.get(kind, ()))
        return tuple(replace(page, transposition=None) for page in neighbours(kind))

    answers = [(row, recognise_together((*others(row.kind), row.page))[-1]) for row in rows()]
    wrong = [
        (r.name, r.kind, a.instrument) for r, a in answers if a.is_sure and a.instrument not in r.expected
    ]
    assert wrong == []
    assert sum(a.is_sure for _, a in answers) >= 0.9 * len(answers)


def test_more_names_stay_what_they_are():
    verdicts = {row: row.verdict() for row in rows(MORE)}
    assert len(verdicts) >= 380
    assert [(row.name, row.kind, row.found()) for row, each in verdicts.items() if each == "wrong"] == []
    assert sum(each == "asked" for each in verdicts.values()) <= 0.03 * len(verdicts)


OTHERS = {
    "Recorder": "recorder-soprano recorder-alto", "Horn": "horn-f", "Harpsichord": "harpsichord",
    "HiHatCymbal": "hi-hat", "Violoncello": "cello", "Flute": "flute", "Glockenspiel": "glockenspiel",
    "Timpani": "timpani", "Percussion": "percussion", "SnareDrum": "snare-drum", "Piccolo": "piccolo",
    "BassDrum": "bass-drum", "CongaDrum": "congas", "Contrabass": "double-bass", "Cowbell": "cowbell",
    "SteelDrum": "steel-drums", "TenorDrum": "tenor-drum", "TubularBells": "chimes",
    "Xylophone": "xylophone", "AcousticGuitar": "guitar", "CrashCymbals": "cymbals", "Ratchet": "ratchet",
    "Saxophone": "saxophone-alto", "AltoSaxophone": "saxophone-alto", "Clarinet": "clarinet-bflat",
    "EnglishHorn": "english-horn", "Tambourine": "tambourine", "Trumpet": "trumpet-bflat",
    "Violin": "violin", "Vocalist": "voice", "Woodblock": "wood-block", "Bassoon": "bassoon",
    "BongoDrums": "bongos", "Harp": "harp", "Trombone": "trombone", "Viola": "viola",
    "Contrabassoon": "contrabassoon", "ElectricGuitar": "guitar-electric", "SleighBells": "sleigh-bells",
    "Timbales": "timbales", "SuspendedCymbal": "suspended-cymbal", "BassTrombone": "trombone-bass",
    "SopranoSaxophone": "saxophone-soprano", "TenorSaxophone": "saxophone-tenor",
    "Accordion": "accordion", "BaritoneSaxophone": "saxophone-baritone", "Oboe": "oboe", "Whip": "whip",
    "Baritone": "baritone-voice", "BassClarinet": "clarinet-bass", "Castanets": "castanets",
    "Cymbals": "cymbals", "Piano": "piano", "PipeOrgan": "organ", "Vibraphone": "vibraphone",
    "Alto": "alto", "TamTam": "gong", "ElectricBass": "bass-guitar", "Mandolin": "mandolin",
    "Organ": "organ", "TempleBlock": "temple-blocks", "TomTom": "tom-toms", "Triangle": "triangle",
    "Bass": "bass-voice", "Celesta": "celesta", "MezzoSoprano": "mezzo-soprano", "Soprano": "soprano",
    "Tenor": "tenor", "Tuba": "tuba", "Ukulele": "ukulele", "Marimba": "marimba", "Banjo": "banjo",
    "Choir": "voice", "Gong": "gong", "Maracas": "maracas", "AcousticBass": "double-bass",
    "FretlessBass": "bass-guitar", "ElectricPiano": "synthesizer",
}  # fmt: skip
"""The rows for the classes of music21's name tables. Source: read by us."""
DISPUTED = {
    "chimes": "music21 has them as a glockenspiel, bands as tubular bells",
    "bas-dessus": "the second soprano of French choirs",
    "tambourin": "a drum of Provence in French, a tambourine in German",
    "clarinetti bassi": "music21 has bass clarinets as clarinets",
    "tamburo rullante": "Italian sets call the snare drum so",
    "corno": "music21 has it as the English horn in Spanish",
    "órgano de": "half a name",
    "keyboard instrument": "a synthesizer's name",
    "crótalos": "antique cymbals",
}
"""Where we disagree with music21, and why."""


def of_music21():
    """``(name, class)`` of its names in the five languages."""
    for language in ("english", "french", "german", "italian", "spanish"):
        yield from getattr(instrumentLookup, f"{language}ToClassName").items()


def test_another_librarys_names_in_five_languages_are_right_or_asked():
    """Outside witness: music21's tables (BSD), a third of whose names are literal translations."""
    right, wrong = 0, []
    for name, kind in of_music21():
        found = recognise(name)
        if found.is_sure and name not in DISPUTED:
            fits = found.instrument in OTHERS.get(kind, "").split()
            right += fits
            wrong += [] if fits else [(name, kind, found.instrument)]
    assert wrong == []
    assert right >= 550


def spelled_names():
    return sorted({name for i in INSTRUMENTS for language in LANGUAGES for name in i.names_in(language)[:2]})


@given(st.sampled_from(spelled_names()), st.data())
def test_case_space_accents_and_line_breaks_change_nothing(name, data):
    expected = recognise(name)
    spaced = name.replace(" ", data.draw(st.sampled_from(["  ", "\n", " \n ", "\t", " "])))
    bare = unicodedata.normalize("NFKD", spaced.replace("ß", "ss"))
    bare = "".join(c for c in bare if not unicodedata.combining(c))
    for written in (spaced.upper(), spaced.lower(), f" {spaced} ", bare):
        found = recognise(written)
        assert (found.instrument, found.doubts) == (expected.instrument, expected.doubts), written


@pytest.mark.parametrize("chair", ["1", "II", "1/2", "2ª"])
def test_a_chair_changes_nothing(chair):
    names = spelled_names()
    changed = [name for name in names if answer(f"{name} {chair}") != answer(name)]
    assert len(names) >= 700
    assert changed == []
    assert all(recognise(f"{name} {chair}").chairs for name in names)


def answer(name):
    found = recognise(name)
    return found.instrument, found.doubts


@given(st.text(max_size=40))
def test_any_text_at_all_is_read(text):
    assert recognise(text).confidence <= 1


KEYS = {
    "b♭": ["B♭", "Bb", "B-flat", "B flat", "Si♭", "Sib", "Si b", "si bémol", "si bemolle"],
    "e♭": ["E♭", "Eb", "E-flat", "Mi♭", "Mib", "Mi b", "mi bémol", "Es"],
    "a": ["A", "La"], "f": ["F", "Fa"], "d": ["D", "Re", "ré"], "c": ["C", "Do", "ut"],
}  # fmt: skip


@given(
    st.sampled_from(sorted(KEYS)), st.sampled_from(["Clarinet", "Trumpet", "Horn", "Cornet", "Tromba"]),
    st.sampled_from(["{0} in {1}", "{0} ({1})", "{0} 2 in {1}", "{0} in {1} 2", "{0}\nin {1}"]),
    st.sampled_from([None, TREBLE]),
)  # fmt: skip
def test_every_way_to_write_a_key_gives_the_same_answer(key, kind, pattern, clef):
    found = {recognise(pattern.format(kind, each), clef=clef).instrument for each in KEYS[key]}
    assert len(found) == 1, found


@given(st.sampled_from([row for row in rows() if row.kind]), st.randoms())
def test_the_order_of_other_parts_before_it_never_makes_a_sure_answer_another_sure_one(row, random):
    around = list(neighbours(row.kind))
    random.shuffle(around)
    first, other = row.found(), recognise_together((*around, row.page))[-1]
    assert not (first.is_sure and other.is_sure) or {first.instrument, other.instrument} <= {
        first.instrument, "voice",
    }  # fmt: skip


def among(kind, name, **page):
    return recognise_together((*neighbours(kind), PartPage(name, **page)))[-1]


def test_a_key_in_the_name_holds_where_no_transposition_is_printed():
    assert among("orchestra", "Bb Trumpet", clef=TREBLE).instrument == "trumpet-bflat"
    assert among("band", "Bb Bass Clarinet", clef=TREBLE).instrument == "clarinet-bass"
    assert among("brass band", "Eb Bass", clef=TREBLE).instrument == "tuba-eflat-treble"


def test_the_ensemble_tells_horns_apart():
    page = {"transposition": E_FLAT, "clef": TREBLE}
    assert among("orchestra", "Eb Horn 1", **page).instrument == "horn-eflat"
    assert among("brass band", "Eb Horn 1", **page).instrument == "tenor-horn-eflat"
    assert not among("band", "Eb Horn 1", **page).is_sure


def test_tunings_of_timpani_are_no_keys():
    assert among("orchestra", "B, D, E Timpani", clef=BASS).instrument == "timpani"


@pytest.mark.parametrize(
    ("kind", "name", "page", "instrument"),
    [
        ("strings", "Bass", {"clef": BASS}, "double-bass"),
        ("choir", "Bass", {"clef": BASS, "is_sung": True}, "bass-voice"),
        ("orchestra", "Basso Cello", {"clef": BASS}, "cello"),
        ("orchestra", "Alto", {"clef": ALTO}, "viola"),
        ("choir", "Alto", {"clef": TREBLE, "is_sung": True}, "alto"),
        ("band", "Alto", {"clef": TREBLE, "transposition": E_FLAT}, "saxophone-alto"),
        ("brass band", "Soprano", {"clef": TREBLE, "transposition": Transposition(2, 3)}, "cornet-eflat"),
        ("band", "Baritone", {"clef": TREBLE, "transposition": B_FLAT_LOW}, "baritone-horn-treble"),
        ("choir", "Baritone", {"clef": BASS, "sound": "voice.baritone", "is_sung": True}, "baritone-voice"),
        ("band", "Timbales", {"clef": CLEFS["percussion"], "is_percussion": True}, "timbales"),
        ("orchestra", "Timbales", {"clef": BASS}, "timpani"),
        ("band", "Clarinet", {"clef": TREBLE, "transposition": E_FLAT}, "clarinet-alto"),
    ],
)  # fmt: skip
def test_one_name_is_read_by_what_stands_around_it(kind, name, page, instrument):
    assert among(kind, name, **page).instrument == instrument


def test_a_bass_in_a_band_is_no_singer_and_is_asked_about():
    found = among("band", "Bass", clef=BASS)
    assert not found.is_sure
    assert {"tuba", "double-bass"} <= set(found.doubts)
    assert "bass-voice" not in found.doubts


@pytest.mark.parametrize(
    ("name", "sound", "clef", "compass", "singer"),
    [
        ("Clarinet in C", "wind.reed.clarinet", TREBLE, (62, 81), "soprano"),
        ("Horn (bass clef) in C", "brass.natural-horn", BASS, (40, 62), "bass-voice"),
        ("Oboe", "wind.reed.oboe", TENOR_VOICE, (50, 67), "tenor"),
        ("Flute", "wind.flutes.flute", TREBLE, (55, 72), "alto"),
    ],
)  # fmt: skip
def test_a_sung_line_named_for_a_playback_sound_is_a_singers(name, sound, clef, compass, singer):
    song = (
        PartPage(name, sound=sound, clef=clef, compass=compass, is_sung=True),
        PartPage("Piano", staves=2),
    )
    assert recognise_together(song)[0].instrument in (singer, "voice")


def test_the_same_line_without_words_is_played():
    played = (PartPage("Flute", sound="wind.flutes.flute", clef=TREBLE, compass=(55, 72)), PartPage("Piano"))
    assert recognise_together(played)[0].instrument == "flute"


def test_parts_without_names_in_a_choir_go_by_clef_compass_and_order():
    lines = ((TREBLE, (60, 76)), (TREBLE, (55, 71)), (TENOR_VOICE, (50, 67)), (BASS, (41, 60)))
    pages = [
        PartPage(f"Part {n}", clef=clef, compass=compass, is_sung=True)
        for n, (clef, compass) in enumerate(lines, 1)
    ]
    found = recognise_together(tuple(pages))
    assert [each.instrument for each in found] == ["soprano", "alto", "tenor", "bass-voice"]
    assert all(each.is_sure and each.chair is None for each in found)


def test_the_letters_of_a_choir_are_one_part_for_its_singers():
    found = recognise("SATB", clef=TREBLE, is_sung=True)
    assert (found.instrument, found.doublings) == ("voice", ("soprano", "alto", "tenor", "bass-voice"))
    assert recognise("S.A.").doublings == recognise("Soprano / Alto").doublings == ("soprano", "alto")
    assert recognise("Tenor/Bass").doublings == ("tenor", "bass-voice")


@pytest.mark.parametrize(
    "name",
    ["Bass Trumpet", "Basstrompete", "Contrabass Trombone", "Viola da gamba", "Pan Flute", "Wagner Tuba",
     "Db Piccolo", "Sopranino Sax", "Oboe da caccia", "Ophicleide"],
)  # fmt: skip
def test_an_instrument_that_the_table_has_not_is_never_taken_for_its_neighbour(name):
    assert not recognise(name, clef=TREBLE).is_sure


def test_what_the_page_contradicts_is_asked():
    assert recognise("Flute", clef=BASS).doubts == ("flute",)
    assert not recognise("Violin", transposition=Transposition(3, 6)).is_sure
    assert not recognise("Trumpet", clef=Clef(0, "C", 3)).is_sure


def test_numbers_before_a_plural_count_the_chairs():
    assert recognise("2 Klarinetten in A").chairs == (1, 2)
    assert recognise("2. Klarinette").chairs == recognise("Klarinette 2").chairs == (2,)
    assert recognise("Flauti a 2").chairs == (1, 2)
