"""What the points of a scoring form come to: total, rating, and the share that counts in a mark; exactly."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from planner.core.scoring_form import Band, Better, Caption, Rating, ScoringForm, Totaling


@dataclass(frozen=True, slots=True)
class FormOutcome:
    """What points come to.

    Attributes:
        total: None as long as a caption has no points that fit the form.
        best: The best total that the form has.
        rating: What the total is called; None below all ratings, or without a total.
        share: What it counts as in a mark, 0 to 1; None without a total.
        missing: Captions without points, or with points that no longer fit the form.
    """

    total: Fraction | None
    best: Fraction
    rating: Rating | None = None
    share: Fraction | None = None
    missing: tuple[Caption, ...] = ()


def outcome(form: ScoringForm, points: Mapping[int, Decimal]) -> FormOutcome:
    """Total, rating and share of points. A form that is not filled in comes to nothing: none is guessed.

    Deductions make a total worse, never worse than the poorest. ``firsts`` captions in their best band make
    the best rating, and its border is then what the total counts as, at least. The share is the rating's
    where it has one; else how far the total came: of the best total where more is better, of the way from
    the poorest to the best where less is.

    Example:
        >>> form = ScoringForm("Ours", (Caption(1, "Tone", Decimal(20)), Caption(2, "Rhythm", Decimal(30))))
        >>> outcome(form, {1: Decimal(12), 2: Decimal(25)}).share
        Fraction(37, 50)
        >>> outcome(form, {1: Decimal(12)}).total is None
        True
    """
    best, poorest = best_and_poorest(form)
    missing = tuple(each for each in form.captions if not fits(form, each, points.get(each.number)))
    if missing or not form.captions:
        return FormOutcome(None, best, missing=missing)
    earned = _together(form, [Fraction(points[each.number]) for each in form.captions])
    lost = sum((Fraction(points.get(each.number, 0)) for each in form.deductions), Fraction(0))
    total = max(poorest, earned - lost) if form.better is Better.MORE else min(poorest, earned + lost)
    rating = _rating(form, points, total)
    return FormOutcome(total, best, rating, _share(form, total, rating))


def best_and_poorest(form: ScoringForm) -> tuple[Fraction, Fraction]:
    """The best and the poorest total that a form has; 0 is the poorest where more is better."""
    most = _together(form, [Fraction(each.most) for each in form.captions])
    if form.better is Better.MORE:
        return most, Fraction(0)
    return _together(form, [Fraction(form.least)] * len(form.captions)), most


def fits(form: ScoringForm, caption: Caption, points: Decimal | None) -> bool:
    """Whether a caption can have these points, by the form as it is now.

    Example:
        >>> form = ScoringForm("Ours", (tone := Caption(1, "Tone", Decimal(5)),))
        >>> fits(form, tone, Decimal(5)), fits(form, tone, Decimal(6)), fits(form, tone, None)
        (True, False, False)
    """
    return points is not None and form.least <= points <= caption.most and points % form.step == 0


def band_of(form: ScoringForm, caption: Caption, points: Decimal) -> Band | None:
    """The best band that points reach; None below all.

    Example:
        >>> tone = Caption(1, "Tone", Decimal(30), (Band(Decimal(26), "Superior"), Band(Decimal(0), "Fair")))
        >>> band_of(ScoringForm("Ours", (tone,)), tone, Decimal("25.9")).word
        'Fair'
    """
    return next((band for band in caption.bands if form.is_as_good(points, band.border)), None)


def _together(form: ScoringForm, points: Sequence[Fraction]) -> Fraction:
    total = sum(points, Fraction(0))
    return total / len(points) if form.totaling is Totaling.MEAN and points else total


def _rating(form: ScoringForm, points: Mapping[int, Decimal], total: Fraction) -> Rating | None:
    firsts = sum(
        bool(each.bands) and band_of(form, each, points[each.number]) == each.bands[0]
        for each in form.captions
    )
    if form.firsts and firsts >= form.firsts and form.ratings:
        return form.ratings[0]
    better = form.better is Better.MORE
    return next(
        (each for each in form.ratings if (total >= each.border if better else total <= each.border)), None
    )


def _share(form: ScoringForm, total: Fraction, rating: Rating | None) -> Fraction | None:
    if rating is not None and rating.share is not None:
        return Fraction(rating.share)
    best, poorest = best_and_poorest(form)
    if rating is not None:
        border = Fraction(rating.border)
        total = max(total, border) if form.better is Better.MORE else min(total, border)
    return (total - poorest) / (best - poorest) if best != poorest else None


def points_of_band(form: ScoringForm, caption: Caption, band: Band) -> Decimal | None:
    """The points that a band stands for, where it stands for just one number of points; else None.

    Example:
        >>> letters = Caption(1, "Tone", Decimal(5), (Band(Decimal(1), "A"), Band(Decimal(5), "B")))
        >>> form = ScoringForm("Ours", (letters,), better=Better.LESS, least=Decimal(1))
        >>> [points_of_band(form, letters, band) for band in letters.bands]
        [Decimal('1'), None]
    """
    at = caption.bands.index(band)
    best = caption.most if form.better is Better.MORE else form.least
    one_better = caption.bands[at - 1].border if at else best
    reach = abs(one_better - band.border)
    return band.border if reach == (form.step if at else 0) else None
