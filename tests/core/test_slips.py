"""Typing slips, held against the textbook table of edit distances with neighbors swapped."""

import random

import pytest

from planner.core.slips import near_words, slips_allowed, slips_between
from tests.checks import some

LETTERS = "abcdefg"


def distance(one, other):
    """Optimal string alignment by its whole table; source: textbook recurrence, common practice."""
    table = [[0] * (len(other) + 1) for _ in range(len(one) + 1)]
    for at in range(len(one) + 1):
        for on in range(len(other) + 1):
            if not at or not on:
                table[at][on] = at + on
                continue
            steps = [
                table[at - 1][on] + 1,
                table[at][on - 1] + 1,
                table[at - 1][on - 1] + (one[at - 1] != other[on - 1]),
            ]
            if at > 1 and on > 1 and one[at - 1] == other[on - 2] and one[at - 2] == other[on - 1]:
                steps.append(table[at - 2][on - 2] + 1)
            table[at][on] = min(steps)
    return table[-1][-1]


def slipped(word, chance):
    """A word with one slip in it."""
    at, letter = chance.randrange(len(word)), chance.choice(LETTERS)
    return chance.choice([
        word[:at] + letter + word[at:],
        word[:at] + word[at + 1 :],
        word[:at] + letter + word[at + 1 :],
        word[: at - 1] + word[at] + word[at - 1] + word[at + 1 :] if at else word,
    ])  # fmt: skip


def words(chance, count, least=3, most=10):
    return ["".join(chance.choices(LETTERS, k=chance.randint(least, most))) for _ in range(count)]


def test_slips_are_counted_as_the_whole_table_counts_them():
    chance = random.Random(3)
    for one in some(words(chance, 150)):
        other = chance.choice(
            [slipped(one, chance), slipped(slipped(one, chance), chance), *words(chance, 1)]
        )
        for most in (0, 1, 2):
            right = distance(one, other)
            assert slips_between(one, other, most) == (right if right <= most else None), (one, other)
            beginnings = [distance(one, other[:end]) for end in range(len(other) + 1)]
            found = slips_between(one, other, most, is_beginning=True)
            assert found == (min(beginnings) if min(beginnings) <= most else None), (one, other)


def test_no_word_that_is_near_is_passed_over():
    chance = random.Random(7)
    vocabulary = words(chance, 300, 4, 9)
    for word in some(chance.sample(vocabulary, 60)):
        typed = slipped(word, chance)
        most = slips_allowed(typed)
        is_beginning = len(typed) >= 5
        right = {
            each: slips
            for each in vocabulary
            if (slips := slips_between(typed, each, most, is_beginning=is_beginning)) is not None
        }
        assert near_words(typed, vocabulary) == right


@pytest.mark.parametrize(
    ("typed", "meant"), [("mrach", "march"), ("overtrue", "overture"), ("dvorzak", "dvorak")]
)
def test_slips_that_people_make_are_forgiven(typed, meant):
    assert meant in near_words(typed, [meant, "waltz", "1812"])


def test_a_short_word_and_a_number_mean_what_they_say():
    assert near_words("air", ["ail", "fair"]) == {}
    assert near_words("1812", ["1813", "181"]) == {}
