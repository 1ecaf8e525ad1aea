"""What points of scoring forms come to: every published border, and random forms added up another way."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from random import Random

import pytest

from planner.core.published_forms import PUBLISHED_FORMS, published_form
from planner.core.scoring_form import (
    Band,
    Better,
    Caption,
    Deduction,
    Rating,
    ScoringForm,
    Totaling,
    form_of,
    form_values,
)
from planner.marks.form_points import band_of, best_and_poorest, fits, outcome, points_of_band
from tests.checks import some

HUNDRED, LETTERS = published_form("hundred").form, published_form("letters").form
"""Of the first the borders of captions and totals, of the second the rule of three A's.

Sources: https://fdocuments.us/document/school-class-ensemble-date-adjudicator-time-phrasing-expression-dynamics.html
and https://www.athensorchestras.com/festival-faqs.html
"""
OF_30 = {"0": "Fair", "14.9": "Fair", "15": "Good", "15.1": "Good", "20.9": "Good", "21": "Excellent",
         "21.1": "Excellent", "25.9": "Excellent", "26": "Superior", "26.1": "Superior",
         "30": "Superior"}  # fmt: skip
OF_40 = {"0": "Fair", "20.9": "Fair", "21": "Good", "21.1": "Good", "27.9": "Good", "28": "Excellent",
         "28.1": "Excellent", "33.9": "Excellent", "34": "Superior", "34.1": "Superior",
         "40": "Superior"}  # fmt: skip
OF_TOTAL = {"0": "Fair", "49.9": "Fair", "50": "Good", "50.1": "Good", "69.9": "Good", "70": "Excellent",
            "70.1": "Excellent", "84.9": "Excellent", "85": "Superior", "85.1": "Superior",
            "100": "Superior"}  # fmt: skip
FREQUENCIES = {"Superior": "consistently", "Excellent": "usually", "Good": "sometimes", "Fair": "rarely"}


def points(form, *given):
    return dict(zip((line.number for line in form.lines), map(Decimal, given), strict=False))


@pytest.mark.parametrize(("caption", "words"), [(0, OF_30), (1, OF_30), (2, OF_40)])
def test_a_published_caption_has_its_words_at_each_border(caption, words):
    own = HUNDRED.captions[caption]
    for given, word in words.items():
        assert fits(HUNDRED, own, Decimal(given))
        assert band_of(HUNDRED, own, Decimal(given)).word == f"{word}, {FREQUENCIES[word]}"
    assert not fits(HUNDRED, own, own.most + Decimal("0.1"))
    assert not fits(HUNDRED, own, Decimal("0.05"))


@pytest.mark.parametrize(("total", "rating"), OF_TOTAL.items())
def test_a_published_total_has_its_rating_at_each_border(total, rating):
    left, given = Decimal(total), []
    for caption in HUNDRED.captions:
        given.append(min(left, caption.most))
        left -= given[-1]
    found = outcome(HUNDRED, points(HUNDRED, *given))
    assert (found.total, found.rating.word) == (Fraction(total), rating)
    assert found.share == Fraction(total) / 100


@pytest.mark.parametrize(("key", "words"), [
    ("divisions", "Superior, consistently; Excellent, usually; Average, sometimes; Below average, rarely; "
                  "Poor, seldom"),
    ("seven", "Superior, consistently; Excellent, frequently; Good, sometimes; Fair, infrequently; "
              "Poor, seldom"),
    ("six", "Superior; Excellent; Good; Fair; Poor"),
    ("letters", "A; B; C; D; E"),
])  # fmt: skip
def test_where_1_is_best_each_number_has_its_word_and_the_mean_its_rating(key, words):
    form = published_form(key).form
    for number, word in enumerate(words.split("; "), start=1):
        given = Decimal(number)
        for caption in some(form.captions):
            assert band_of(form, caption, given).word == word
            assert points_of_band(form, caption, band_of(form, caption, given)) == given
        found = outcome(form, points(form, *[number] * len(form.captions)))
        assert found.rating == form.ratings[number - 1]
        assert found.share == Fraction(5 - number, 4)
    for wrong in ("0", "6", "1.5"):
        assert not fits(form, form.captions[0], Decimal(wrong))


@pytest.mark.parametrize(("given", "rating"), [
    ("11155", "I"), ("11255", "III"), ("11111", "I"), ("11222", "II"), ("55555", "V"),
])  # fmt: skip
def test_three_as_make_a_one_and_two_do_not(given, rating):
    assert outcome(LETTERS, points(LETTERS, *given)).rating.word == rating


def test_a_rating_by_first_bands_counts_as_its_border_at_least():
    assert outcome(LETTERS, points(LETTERS, *"11155")).share == Fraction(7, 8)
    assert outcome(LETTERS, points(LETTERS, *"11111")).share == 1


@pytest.mark.parametrize(("key", "captions", "best"), [
    ("hundred", 3, 100), ("solo-28", 7, 28), ("solo-100", 7, 100), ("seven", 7, 1), ("six", 6, 1),
    ("letters", 5, 1), ("divisions", 3, 1), ("etude", 1, 100), ("half-points", 19, 100),
])  # fmt: skip
def test_published_forms_have_their_captions_and_best_totals(key, captions, best):
    form = published_form(key).form
    assert len(form.captions) == captions
    assert best_and_poorest(form)[0] == best


def test_the_solo_form_of_100_has_its_points_by_caption():
    form = published_form("solo-100").form
    assert [int(each.most) for each in form.captions] == [20, 10, 20, 15, 20, 5, 10]
    assert form.captions[-1].name == "Sight-reading"


@pytest.mark.parametrize(
    ("total", "word"), [("69.5", "Not yet"), ("70", "Proficient"), ("70.5", "Proficient")]
)
def test_70_of_100_in_half_points_is_proficient(total, word):
    form = published_form("half-points").form
    given, left = [], Decimal(total)
    for caption in form.captions:
        given.append(min(left, caption.most))
        left -= given[-1]
    assert outcome(form, points(form, *given)).rating.word == word


def test_what_is_cut_short_is_taken_off_and_a_total_is_never_below_the_poorest():
    form = published_form("etude").form
    assert [(each.least, each.most) for each in form.deductions] == [(10, 20), (20, 40), (60, 60)]
    assert outcome(form, points(form, 95, 20)).total == 75
    assert outcome(form, points(form, 50, 0, 0, 60)).total == 0
    less = replace(LETTERS, deductions=(Deduction(9, "Late", Decimal(1), Decimal(3)),))
    assert outcome(less, {**points(LETTERS, *"22222"), 9: Decimal(2)}).total == 4
    assert outcome(less, {**points(LETTERS, *"44444"), 9: Decimal(3)}).total == 5


def test_a_form_that_is_not_filled_in_comes_to_nothing():
    found = outcome(HUNDRED, points(HUNDRED, 26, 26))
    assert (found.total, found.rating, found.share) == (None, None, None)
    assert [each.name for each in found.missing] == ["Musicality"]
    outside = outcome(HUNDRED, points(HUNDRED, 26, 31, 40))
    assert [each.name for each in outside.missing] == ["Ensemble technique"]
    assert outcome(ScoringForm("Empty", ()), {}).total is None


def test_a_rating_may_say_what_it_counts_as_and_a_total_below_all_has_none():
    form = replace(
        HUNDRED, ratings=(Rating(Decimal(85), "Superior", Decimal("0.98")), Rating(Decimal(50), "Good"))
    )
    assert outcome(form, points(form, 30, 30, 25)).share == Fraction(98, 100)
    low = outcome(form, points(form, 10, 10, 10))
    assert (low.rating, low.share) == (None, Fraction(3, 10))


def test_a_band_stands_for_points_only_where_there_is_one_number():
    form = ScoringForm("Ours", (), step=Decimal("0.5"))
    caption = Caption(1, "Tone", Decimal(5), tuple(
        Band(Decimal(border), word) for border, word in (("5", "A"), ("4.5", "B"), ("3", "C"))
    ))  # fmt: skip
    assert [points_of_band(form, caption, band) for band in caption.bands] == [5, Decimal("4.5"), None]
    assert band_of(form, caption, Decimal("2.5")) is None


def random_form(rng):
    """Any small form, with borders of ratings that a total can have."""
    better, totaling = rng.choice(list(Better)), rng.choice(list(Totaling))
    least = Decimal(rng.choice((0, 1)))
    captions = tuple(
        Caption(number, f"Caption {number}", least + rng.randint(1, 30))
        for number in range(1, rng.randint(2, 6))
    )
    form = ScoringForm("Any", captions, (), better, totaling, least, Decimal("0.5"),
                       (Deduction(9, "Late", Decimal(1), Decimal(5)),))  # fmt: skip
    low, high = sorted(map(int, best_and_poorest(form)))
    borders = sorted({Decimal(rng.randint(low, high)) for _ in range(3)}, reverse=better is Better.MORE)
    return replace(form, ratings=tuple(
        Rating(border, f"Rating {border}", rng.choice((None, Decimal("0.5")))) for border in borders
    ))  # fmt: skip


def test_300_random_forms_come_out_as_half_points_counted_one_by_one():
    """Everything is counted in half points of whole forms: no fraction is formed until the end."""
    rng, rated = Random(20261129), 0
    for _ in range(300):
        form = random_form(rng)
        halves = {each.number: rng.randint(int(2 * form.least), int(2 * each.most)) for each in form.captions}
        off = rng.choice((0, 2, 7))
        found = outcome(form, {number: Decimal(n) / 2 for number, n in {**halves, 9: off}.items()})
        times = len(halves) if form.totaling is Totaling.MEAN else 1
        up = form.better is Better.MORE
        tallest = sum(int(2 * each.most) for each in form.captions)
        lowest = 0 if up else int(2 * form.least) * len(halves)
        count = sum(halves.values()) + (-1 if up else 1) * off * times
        count = max(count, lowest) if up else min(count, tallest)
        assert found.total * 2 * times == count
        reached = [
            r
            for r in form.ratings
            if (count >= 2 * times * r.border if up else count <= 2 * times * r.border)
        ]
        best = max(reached, key=lambda r: r.border if up else -r.border, default=None)
        assert found.rating == best
        way = Fraction(count, tallest) if up else Fraction(tallest - count, tallest - lowest)
        assert found.share == (Fraction(best.share) if best and best.share is not None else way)
        rated += best is not None
    assert rated > 100


def test_forms_are_stored_and_read_back_exactly():
    for each in some(PUBLISHED_FORMS):
        assert form_of(form_values(each.form)) == each.form
        assert each.source.startswith("https://")
    rng = Random(3)
    for _ in range(20):
        form = random_form(rng)
        assert form_of(form_values(form)) == form
    assert form_of(form_values(None)) is None
