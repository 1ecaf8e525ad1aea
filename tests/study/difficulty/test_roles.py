from dataclasses import dataclass

import pytest

from planner.core.ensemble import Role
from planner.core.instruments import recognise
from planner.study.difficulty.roles import parts_of_group, roles_of

SECTION, SOLOIST, ACCOMPANIST, PRACTICE = Role.SECTION, Role.SOLOIST, Role.ACCOMPANIST, Role.PRACTICE


@dataclass(frozen=True)
class Line:
    name: str
    instrument: str


def roles(*names: str) -> list[Role]:
    return list(roles_of([Line(name, instrument_of(name)) for name in names]))


def instrument_of(name: str) -> str:
    return "bass-voice" if name == "Bass" else recognise(name).instrument


CHOIR = ("Soprano", "Alto", "Tenor", "Bass")
STRINGS = ("Violin I", "Violin II", "Viola", "Cello", "Double Bass")
BAND = ("Flute", "Clarinet 1", "Clarinet 2", "Trumpet 1", "Trumpet 2", "Trombone", "Tuba", "Drums")
BRASS_BAND = (
    "Soprano Cornet", "Repiano Cornet", "2nd Cornet", "Flugelhorn", "1st Horn", "Euphonium", "Bass Trombone",
)  # fmt: skip


@pytest.mark.parametrize("name", [
    "Piano\n(For practice\nonly)", "Piano\nfor practice only", "Piano (for rehearsal only)",
    "Rehearsal Piano",
    "Piano (practise only)", "Piano (for use in rehearsals)", "Klavier (nur zur Probe)", "Probenklavier",
    "Klavier (zum Einstudieren)", "Klavier zur Übung", "Piano (pour les répétitions)", "Piano (pour l'étude)",
    "Pianoforte (solo per prova)", "Pianoforte per le prove", "Piano (sólo para ensayo)",
    "Piano (para los ensayos)", "Piano (para ensaio)", "Piano (alleen voor repetitie)",
    "Klavier (zum Einüben)", "Piano d'étude", "Piano [rehearsal use only]",
    "Organ (for rehearsal only)", "For practice only",
])  # fmt: skip
def test_what_is_printed_for_rehearsals_is_not_read(name: str) -> None:
    assert roles(*CHOIR, name) == [SECTION] * 4 + [PRACTICE]


@pytest.mark.parametrize("name", ["Practice Pad", "Piano", "Studio Drums", "Prophet"])
def test_other_words_do_not_say_that_a_part_is_for_rehearsals(name: str) -> None:
    assert PRACTICE not in roles(*BAND, name)


def test_a_part_for_rehearsals_alone_is_the_piece() -> None:
    assert roles("Piano (rehearsal only)") == [SECTION]


@pytest.mark.parametrize("names", [
    ("Voice", "Piano"), ("Singstimme\nVoice", "Pianoforte"), ("Chant", "Piano"), ("Voice", "Guitar"),
    ("Oboe", "Piano"), ("Violin solo", "Piano"), ("Horn in F", "Organ"), ("Flute", "Basso continuo"),
    (*CHOIR, "Organ"), (*CHOIR, "Klavier"), ("Soprano 1", "Soprano 2", "Alto", "Harp"),
    ("Flute", "Voice", "Harpsichord"), ("Singstimme.\nVoice", "Bratsche.\nViola", "Pianoforte."),
    ("Solo Piano", "Piano II (orchestral reduction)"), ("Flute", "Clarinet", "Piano accompaniment"),
    (*BAND, "Piano-Conductor"),
])  # fmt: skip
def test_a_keyboard_beside_singers_or_one_player_accompanies(names: tuple[str, ...]) -> None:
    assert roles(*names) == [SECTION] * (len(names) - 1) + [ACCOMPANIST]


def test_two_pianos_of_a_song_both_accompany() -> None:
    assert roles("Singstimme", "Piano", "Pianoforte") == [SECTION, ACCOMPANIST, ACCOMPANIST]


@pytest.mark.parametrize("names", [
    ("Piano",), ("Organ",), ("Piano I", "Piano II"), ("Piano", "Violin", "Violoncello"), (*BAND, "Piano"),
    (*STRINGS, "Piano (optional)"), (*STRINGS, "Harpsichord"), STRINGS, BAND, CHOIR,
    ("Violin 1", "Violin 2", "Viola", "Violoncello"), ("Flute", "Guitar"),
    ("Voice", "Trumpet", "Alto Sax", "Piano", "Bass Guitar", "Drum Set"),
    ("Euphonium B.C.", "Trombone B.C.", "Tuba"), ("Flute 1", "Flute 2", "Harp"), ("",), ("", ""),
])  # fmt: skip
def test_where_nothing_settles_it_a_section_reads_the_part(names: tuple[str, ...]) -> None:
    assert set(roles(*names)) == {SECTION}


@pytest.mark.parametrize(("solo", "group"), [
    ("Violin 1 solo", ("Violin 1 tutti", "Violin 2", "Viola", "Violoncello", "Contrabass")),
    ("Solo Violin", STRINGS), ("Violino principale", STRINGS), ("Violino concertante", STRINGS),
    ("Solo Clarinet in Bb", STRINGS), ("Cor solo", STRINGS), ("Solo Trumpet", BAND), ("Alto Sax Solo", BAND),
    ("Solo Piano", (*BAND, *STRINGS)), ("Solo", CHOIR), ("Soprano solo", CHOIR), ("Cantor", CHOIR),
    ("Solo Tenor", ("Choir",)), ("Soloist", CHOIR), ("Solosopran", CHOIR), ("Solo-Violine", STRINGS),
    ("Soliste", CHOIR),
])  # fmt: skip
def test_a_solo_line_stands_apart_from_its_group(solo: str, group: tuple[str, ...]) -> None:
    assert roles(solo, *group) == [SOLOIST] + [SECTION] * len(group)
    assert roles(*group, solo) == [SECTION] * len(group) + [SOLOIST]


@pytest.mark.parametrize(("chair", "others"), [
    ("Solo Cornet", BRASS_BAND), ("Solo Horn", BRASS_BAND), ("Solo Euphonium", BRASS_BAND),
    ("Solo Bb Clarinet", BAND), ("Solo Bb Cornet", BAND), ("Solo Alto", ()),
    ("Soprano (solo and chorus)", CHOIR),
    ("Principal Trumpet", BAND), ("Tromba principale", BAND), ("Violin I (tutti, no solo)", STRINGS),
])  # fmt: skip
def test_solo_as_the_name_of_a_chair_is_read_by_its_section(chair: str, others: tuple[str, ...]) -> None:
    assert set(roles(chair, *others)) == {SECTION}


def test_soloists_without_a_group_are_the_group() -> None:
    names = ("Soprano Solo", "Alto Solo", "Tenor Solo", "Bass Solo", "Organ")
    assert roles(*names) == [SECTION] * 4 + [ACCOMPANIST]


def test_solo_accompanist_and_rehearsal_piano_stand_beside_one_choir() -> None:
    found = roles("Solo", *CHOIR, "Organ", "Piano (rehearsal only)")
    assert found == [SOLOIST, *[SECTION] * 4, ACCOMPANIST, PRACTICE]
    lines = [Line(name, recognise(name).instrument) for name in ("Solo", *CHOIR, "Organ")]
    assert parts_of_group(lines) == (False, True, True, True, True, False)


def test_the_order_of_parts_changes_no_role() -> None:
    names = ("Solo", *CHOIR, "Organ", "Piano (rehearsal only)")
    assert roles(*reversed(names)) == list(reversed(roles(*names)))


def test_every_score_leaves_somebody_to_read() -> None:
    for names in (
        ("Piano reduction",),
        ("Conductor",),
        ("Accompaniment", "Piano"),
        ("Solo",),
        ("Rehearsal",),
    ):
        assert SECTION in roles(*names), names
    assert roles() == []
