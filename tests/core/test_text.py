"""Folding of titles and names."""

import pytest

from planner.core.text import folded


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("Dvořák", "dvorak"),
        ("Saint-Saëns", "saint-saens"),
        ("Grieg: Bådnlåt", "grieg: badnlat"),
        ("Die Größe der STRASSE", "die grosse der strasse"),
        ("Prokofʹev, Æolian Łódź", "prokofʹev, aeolian lodz"),
        ("B♭ – ‘Air’", "b b - 'air'".replace("b b", "bb")),
        ("℡ ℌorn", "tel horn"),
        ("ﬁnale  ½", "finale 1⁄2"),
        ("", ""),
    ],
)
def test_case_accents_and_spaces_go(text, plain):
    assert folded(text) == plain


def test_folding_twice_is_folding_once_for_every_letter():
    letters = [chr(code) for code in range(0x20000)]
    again = [letter for letter in letters if folded(folded(letter)) != folded(letter)]
    assert again == []
