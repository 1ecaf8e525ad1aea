"""What words in the course of a piece do to its tempo."""

import pytest

from planner.study.time.tempo_changes import (
    A_LITTLE_FASTER,
    A_LITTLE_SLOWER,
    FASTER,
    MUCH_FASTER,
    MUCH_SLOWER,
    SLOWER,
    ChangeKind,
    TempoChange,
    tempo_change,
)

LOOSE = (
    "rit.", "ritard.", "ritardando", "riten.", "ritenuto", "rall.", "rallentando", "allarg.", "allargando",
    "slargando", "slentando", "calando", "smorz.", "morendo", "perdendosi", "stringendo", "string.",
    "accel.", "accelerando", "affrettando", "poco rit.", "molto rall.", "dim. e rit.", "cresc. e accel.",
    "colla parte", "colla voce", "ad lib.", "a piacere", "rubato", "cédez", "Cédez un peu", "retenu",
    "en retenant", "Un peu retenu", "ralentir", "en ralentissant", "en élargissant", "pressez", "en animant",
    "serrez", "suivez", "à volonté", "zurückhaltend", "etwas zurückhaltend", "zögernd", "nachlassend",
    "langsamer werdend", "immer langsamer", "allmählich schneller", "nach und nach langsamer", "eilend",
    "drängend", "sehr beschleunigend", "poco a poco più mosso", "sempre più lento", "peu à peu plus vite",
    "slowing down", "slower and slower", "gradually faster", "hold back", "push on", "broadening", "freely",
)  # fmt: skip
BACK = (
    "a tempo", "A Tempo.", "a tempo,", "Tempo", "in tempo", "al tempo", "im Tempo", "im Zeitmaß",
    "im Zeitmass", "wieder im Tempo", "im alten Tempo", "au mouvement", "Au mouvt", "Mouvt", "en mesure",
    "in time", "back to tempo", "resume tempo", "wie vorher", "come sopra", "Schluss a tempo", "a battuta",
)  # fmt: skip
FIRST = (
    "Tempo I", "Tempo I.", "Tempo primo", "tempo 1", "Tempo Imo", "Tempo 1º", "a tempo 1o", "Primo Tempo",
    "Erstes Zeitmaß", "Erstes Zeitmass", "Erstes Tempo", "I. Zeitmass", "Immer I. Zeitmass", "Hauptzeitmaß",
    "wie zu Anfang", "(Wie zu Anfang)", "Wie am Anfang", "1er mouvement", "1er Mouvt", "premier mouvement",
    "Mouvement du début", "comme au début", "original tempo", "first tempo", "come prima",
    "Allegro (Tempo I)",
    "Allmählich zur ersten Bewegung sich steigernd",
)  # fmt: skip
SAME = (
    "L'istesso tempo",
    "l’istesso tempo",
    "Lo stesso tempo",
    "même mouvement",
    "same tempo",
    "Dasselbe Zeitmaß",
)
SHARES = {
    "più mosso": FASTER, "Più animato": FASTER, "plus vite": FASTER, "plus animé": FASTER,
    "schneller": FASTER, "bewegter": FASTER, "lebhafter": FASTER, "faster": FASTER, "Più allegro": FASTER,
    "moins lent": FASTER, "meno lento": FASTER, "plus de mouvement": FASTER, "more movement": FASTER,
    "meno mosso": SLOWER, "Moins vite": SLOWER, "plus lent": SLOWER, "più lento": SLOWER,
    "più tranquillo": SLOWER, "langsamer": SLOWER, "ruhiger": SLOWER, "breiter": SLOWER, "slower": SLOWER,
    "meno": SLOWER, "weniger bewegt": SLOWER, "less quickly": SLOWER, "meno allegro": SLOWER,
    "un poco più mosso": A_LITTLE_FASTER, "un peu animé": A_LITTLE_FASTER, "poco animato": A_LITTLE_FASTER,
    "etwas bewegter": A_LITTLE_FASTER, "un peu plus vite": A_LITTLE_FASTER,
    "a little faster": A_LITTLE_FASTER,
    "un poco animato e cresc.": A_LITTLE_FASTER,
    "poco meno": A_LITTLE_SLOWER, "poco meno mosso": A_LITTLE_SLOWER, "etwas langsamer": A_LITTLE_SLOWER,
    "un peu plus lent": A_LITTLE_SLOWER, "slightly slower": A_LITTLE_SLOWER,
    "viel schneller": MUCH_FASTER, "molto più mosso": MUCH_FASTER, "beaucoup plus vite": MUCH_FASTER,
    "much slower": MUCH_SLOWER, "viel langsamer": MUCH_SLOWER, "molto meno mosso": MUCH_SLOWER,
    "doppio movimento": 2.0, "twice as fast": 2.0, "halb so schnell": 0.5, "half-time": 0.5,
}  # fmt: skip
NOTHING = (
    "sans ralentir", "senza rit.", "nicht langsamer werden!", "nicht eilend", "non rall.", "sans presser",
    "without slowing down", "no slower", "più cantabile (but no slower)", "nicht schneller", "not faster",
    "più p", "più cresc.", "sul G string", "strings", "con moto", "Tempo di valse", "in time of a march",
    "Mouvement de boléro", "au mouvement de menuet", "in ruhiger Bewegung", "dolce", "", "sempre legato",
    "poco agitato", "meno forte", "plus doux", "I.", "1.", "molto", "zu Anfang",
)  # fmt: skip


@pytest.mark.parametrize("text", LOOSE)
def test_words_that_loosen_the_tempo(text):
    found = tempo_change(text)
    assert found is not None
    assert found.kind is ChangeKind.LOOSE
    assert found.by_degrees == any(word in text for word in BY_DEGREES)


BY_DEGREES = ("immer", "nach und nach", "allmählich", "poco a poco", "sempre", "peu à peu", "werdend",
              "slower and", "gradually")  # fmt: skip


@pytest.mark.parametrize("text", BACK)
def test_words_that_bring_the_tempo_back(text):
    assert tempo_change(text) == TempoChange(ChangeKind.BACK)


@pytest.mark.parametrize("text", FIRST)
def test_words_that_bring_the_first_tempo_back(text):
    assert tempo_change(text) == TempoChange(ChangeKind.FIRST)


@pytest.mark.parametrize("text", SAME)
def test_words_that_keep_the_beat(text):
    assert tempo_change(text) == TempoChange(ChangeKind.SAME)


@pytest.mark.parametrize(("text", "share"), SHARES.items())
def test_words_that_compare(text, share):
    assert tempo_change(text) == TempoChange(ChangeKind.SHARE, share)


@pytest.mark.parametrize("text", NOTHING)
def test_words_that_change_nothing(text):
    assert tempo_change(text) is None


def test_words_that_do_two_things():
    assert tempo_change("a Tempo. Moins vite") == TempoChange(ChangeKind.BACK, SLOWER)
    assert tempo_change("a tempo, poco rit.") == TempoChange(ChangeKind.BACK, is_loose_after=True)
    assert tempo_change("rit. – a tempo") == TempoChange(ChangeKind.BACK)
    assert tempo_change("Tempo I. ma un poco meno mosso") == TempoChange(ChangeKind.FIRST, A_LITTLE_SLOWER)
    assert tempo_change("Tempo II") == TempoChange(ChangeKind.SECOND)
