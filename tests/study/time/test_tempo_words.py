"""What tempo words ask for: published ranges, degree and denial in four languages."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.study.time.tempo_words import (
    EXPRESSIVE,
    GERMAN_STEMS,
    MODERATE,
    MOODS,
    MOST_WORDS,
    SAME_AS,
    TEMPO_RANGES,
    plain,
    range_of,
    side_of,
    tempo_text,
    tempo_word,
)

NEEDS_PREPOSITION = {"moto", "mouvement", "bewegung", "movement", "motion"}
NOUNS = {"lenteur", "vitesse", "munterkeit", "hate", "hast", "eile", "eilen", "fretta", "hurry", "haste"}
PHRASES = {word for word in SAME_AS if " " in word}
WORDS = sorted({*TEMPO_RANGES, *SAME_AS, *MOODS} - NEEDS_PREPOSITION - NOUNS - PHRASES)
"""Every single tempo word of the four languages that can stand alone."""

NOT_TOO = ("non troppo {}", "{} ma non troppo", "{} non tanto", "pas trop {}", "nicht zu {}",
           "nicht allzu {}", "durchaus nicht zu {}", "{}, doch nicht zu sehr", "not too {}", "not very {}",
           "nicht sehr {}")  # fmt: skip
A_LITTLE = ("un poco {}", "poco {}", "un peu {}", "etwas {}", "ein wenig {}", "a little {}", "rather {}",
            "ziemlich {}", "assez {}", "fairly {}", "somewhat {}")  # fmt: skip
VERY = ("molto {}", "{} molto", "{} assai", "très {}", "sehr {}", "very {}", "recht {}", "{} di molto")
PLAIN_NOT = ("non {}", "nicht {}", "pas {}", "not {}")
TWICE_NOT = ("non senza {}", "nicht ohne {}", "pas sans {}", "not without {}")

words = st.sampled_from(WORDS)


def speed(text):
    """What the text asks for; it must ask for something."""
    found = tempo_word(text)
    assert found is not None, text
    return found.low, found.high


def lies_between(found, one, other):
    """Whether both ends lie between the ends of two ranges, to the rounding."""
    return all(min(a, b) - 1 <= end <= max(a, b) + 1 for end, a, b in zip(found, one, other, strict=True))


def middle(span):
    return math.sqrt(span[0] * span[1])


@given(words, st.sampled_from(NOT_TOO))
def test_not_too_lies_between_moderate_and_the_word(word, form):
    found = speed(form.format(word))
    assert lies_between(found, range_of(word), MODERATE)
    assert (
        abs(math.log(middle(found) / middle(MODERATE)))
        <= abs(math.log(middle(range_of(word)) / middle(MODERATE))) + 0.02
    )


@given(words, st.sampled_from(A_LITTLE))
def test_a_little_lies_between_moderate_and_the_word(word, form):
    assert lies_between(speed(form.format(word)), range_of(word), MODERATE)


@given(words, st.sampled_from(VERY))
def test_very_is_at_least_as_extreme(word, form):
    found, own = speed(form.format(word)), range_of(word)
    side = side_of(*own)
    assert all(side * (end - before) >= -0.5 for end, before in zip(found, own, strict=True))
    assert found != own or side == 0


@given(st.sampled_from([word for word in WORDS if side_of(*range_of(word))]), st.sampled_from(VERY))
def test_not_very_is_less_than_very(word, form):
    very, denied = speed(form.format(word)), speed(f"nicht sehr {word}")
    assert side_of(*range_of(word)) * (middle(very) - middle(denied)) > 0


@given(words, st.sampled_from(PLAIN_NOT))
def test_a_denied_word_is_on_the_other_side_of_moderate_but_not_far(word, form):
    own, found = range_of(word), speed(form.format(word))
    side = side_of(*own)
    if side == 0:
        assert found == own
    else:
        assert side * (middle(found) - middle(MODERATE)) <= 0
        assert lies_between(found, (72, 108), (88, 126))


@given(words, st.sampled_from(TWICE_NOT))
def test_denied_twice_is_the_word_again_on_its_side(word, form):
    own, found = range_of(word), speed(form.format(word))
    assert lies_between(found, own, MODERATE)
    assert side_of(*found) in (side_of(*own), 0)


@given(words)
def test_words_are_read_without_regard_to_capitals_and_stops(word):
    assert speed(word.upper() + ".") == speed(f"({word.capitalize()})") == range_of(word)


@pytest.mark.parametrize(
    ("small", "great"), [("allegretto", "allegro"), ("andantino", "andante"), ("larghetto", "largo"),
                         ("adagietto", "adagio")],
)  # fmt: skip
def test_diminutives_are_nearer_to_moderate(small, great):
    assert abs(middle(range_of(small)) - middle(MODERATE)) < abs(middle(range_of(great)) - middle(MODERATE))


@pytest.mark.parametrize("stem", sorted(GERMAN_STEMS))
@pytest.mark.parametrize("form", ["{}es Zeitmaß", "{}e Bewegung", "in {}er Bewegung", "im {}en Tempo"])
def test_inflected_german_words_are_the_word(stem, form):
    found = tempo_word(form.format(stem))
    assert found is not None
    assert found.word == stem


@pytest.mark.parametrize(
    ("text", "like"),
    [
        # Titles and headings of published songs, symphonies and quartets; the reading is common practice.
        ("Mit Munterkeit, doch nicht zu geschwind", (93, 125)),
        ("Nicht zu geschwind", (93, 142)),
        ("durchaus nicht zu langsam", (60, 88)),
        ("pas trop vite", (93, 142)),
        ("Sans lenteur", (88, 126)),
        ("Ruhig bewegt, ohne zu eilen", (83, 114)),
        ("Presto ma non assai", (107, 155)),
        ("Andante con moto", (71, 114)),
        ("Allegro moderato", (98, 150)),
        ("Adagio molto espressivo", (55, 76)),
        ("Tempo di marcia funebre", (40, 60)),
    ],
)
def test_phrases_of_the_repertory(text, like):
    assert speed(text) == like


def test_a_second_word_bends_the_first():
    slow, plainly, quick = speed("Allegro moderato"), speed("Allegro"), speed("Allegro vivace")
    assert middle(slow) < middle(plainly) < middle(quick)


@pytest.mark.parametrize("word", sorted(MOODS.keys() - NEEDS_PREPOSITION - NOUNS) + sorted(EXPRESSIVE))
def test_moods_and_expressive_words_are_known_as_such(word):
    found = tempo_word(word)
    assert found is not None
    assert found.is_mood


@pytest.mark.parametrize(
    "text",
    ["dolce", "a tempo", "rit.", "Mouvement de boléro", "* Presto in the first edition", "attacca il Presto",
     "en allant se perdant", "Trio", "con espressione", "nicht", "molto", "", "   "],
)  # fmt: skip
def test_other_words_ask_for_no_speed(text):
    assert tempo_word(text) is None


def test_long_texts_are_notes_to_the_reader():
    longest = " ".join(["allegro", *["la"] * (MOST_WORDS - 1)])
    assert tempo_word(longest) is not None
    assert tempo_word(longest + " la") is None
    assert tempo_text(longest + " la") == ""


def test_words_are_compared_plain():
    assert plain("Più  Mosso!") == "piu mosso"
    assert plain("Mäßig") == plain("Maessig") == plain("mässig") == "massig"
    assert side_of(*MODERATE) == 0


@pytest.mark.parametrize(("span", "side"), [((84, 104), 0), ((108, 108), 1), ((88, 88), -1), ((93, 94), -0)])
def test_the_sides_of_moderate(span, side):
    assert side_of(*span) == side
