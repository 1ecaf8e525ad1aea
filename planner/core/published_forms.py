"""Published scoring forms to begin from: captions, points, borders and words, each with its source."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from planner.core.scoring_form import Band, Better, Caption, Deduction, Rating, ScoringForm, Totaling


class Basis(StrEnum):
    """What a part of a form rests on."""

    PUBLISHED = "published"
    """Read on the page that the form names."""
    MEMORY = "memory"
    OURS = "ours"
    """No publication that was read says it: chosen here."""


@dataclass(frozen=True, slots=True)
class PublishedForm:
    """A form to begin from.

    Attributes:
        key: By which commands name it.
        form: As published, filled up where the publication says nothing.
        source: The page.
        captions: What captions and their points rest on.
        words: What the bands of captions and their words rest on.
        direction: What it rests on which points are better.
        ratings: What it rests on how a total becomes a rating.
    """

    key: str
    form: ScoringForm
    source: str
    captions: Basis = Basis.PUBLISHED
    words: Basis = Basis.PUBLISHED
    direction: Basis = Basis.PUBLISHED
    ratings: Basis = Basis.PUBLISHED


def _bands(*bands: tuple[str, str]) -> tuple[Band, ...]:
    return tuple(Band(Decimal(border), word) for border, word in bands)


def _captions(most: str, bands: tuple[Band, ...], *names: str, first: int = 1) -> tuple[Caption, ...]:
    return tuple(Caption(at, name, Decimal(most), bands) for at, name in enumerate(names, start=first))


def _ratings(*ratings: tuple[str, str]) -> tuple[Rating, ...]:
    return tuple(Rating(Decimal(border), word) for border, word in ratings)


_BY_FIVE = ("1.5", "2.5", "3.5", "4.5", "5")
"""Borders of a mean of points from 1 to 5: to the nearest, halves to the better. Source: house choice."""


def _five(*words: str) -> tuple[Rating, ...]:
    return _ratings(*zip(_BY_FIVE, words, strict=True))


_HUNDRED = ScoringForm(
    "100-point concert form",
    (
        *_captions(
            "30",
            _bands(
                ("26", "Superior, consistently"), ("21", "Excellent, usually"), ("15", "Good, sometimes"),
                ("0", "Fair, rarely"),
            ),
            "Sound and tuning", "Ensemble technique",
        ),
        *_captions(
            "40",
            _bands(
                ("34", "Superior, consistently"), ("28", "Excellent, usually"), ("21", "Good, sometimes"),
                ("0", "Fair, rarely"),
            ),
            "Musicality", first=3,
        ),
    ),
    _ratings(("85", "Superior"), ("70", "Excellent"), ("50", "Good"), ("0", "Fair")),
    step=Decimal("0.1"),
)  # fmt: skip

_DIVISIONS = ScoringForm(
    "Divisions I to V",
    _captions(
        "5",
        _bands(
            ("1", "Superior, consistently"), ("2", "Excellent, usually"), ("3", "Average, sometimes"),
            ("4", "Below average, rarely"), ("5", "Poor, seldom"),
        ),
        "Tone", "Technique", "Musicianship",
    ),
    _five("I, Superior", "II, Excellent", "III, Average", "IV, Below average", "V, Poor"),
    better=Better.LESS, totaling=Totaling.MEAN, least=Decimal(1),
)  # fmt: skip

_SEVEN = ScoringForm(
    "Seven categories, 1 to 5",
    _captions(
        "5",
        _bands(
            ("1", "Superior, consistently"), ("2", "Excellent, frequently"), ("3", "Good, sometimes"),
            ("4", "Fair, infrequently"), ("5", "Poor, seldom"),
        ),
        "Tone quality", "Intonation", "Note accuracy, technique and articulation",
        "Rhythm, tempo and precision", "Interpretation and style", "Balance and blend",
        "Phrasing, expression and dynamics",
    ),
    _five("1, Superior", "2, Excellent", "3, Good", "4, Fair", "5, Poor"),
    better=Better.LESS, totaling=Totaling.MEAN, least=Decimal(1),
)  # fmt: skip

_SIX = ScoringForm(
    "Six captions, 1 to 5",
    _captions(
        "5",
        _bands(
            ("1", "Superior"), ("2", "Excellent"), ("3", "Good"), ("4", "Fair"), ("5", "Poor"),
        ),
        "Tone", "Intonation", "Rhythmic precision", "Musical effect", "Position", "Presentation",
    ),
    _five("Superior", "Excellent", "Good", "Fair", "Poor"),
    better=Better.LESS, totaling=Totaling.MEAN, least=Decimal(1),
)  # fmt: skip

_LETTERS = ScoringForm(
    "Letters A to E",
    _captions(
        "5",
        _bands(("1", "A"), ("2", "B"), ("3", "C"), ("4", "D"), ("5", "E")),
        "Tone", "Intonation", "Rhythm", "Technique", "Interpretation",
    ),
    _five("I", "II", "III", "IV", "V"),
    better=Better.LESS, totaling=Totaling.MEAN, least=Decimal(1), firsts=3,
)  # fmt: skip

_SOLO_28 = ScoringForm(
    "28-point solo form",
    _captions(
        "4", (), "Tone", "Intonation", "Technique", "Accuracy", "Interpretation", "Scales", "Sight-reading"
    ),
)

_SOLO_100 = ScoringForm(
    "100-point solo form",
    (
        Caption(1, "Tone", Decimal(20)), Caption(2, "Intonation", Decimal(10)),
        Caption(3, "Technique", Decimal(20)), Caption(4, "Accuracy", Decimal(15)),
        Caption(5, "Interpretation", Decimal(20)), Caption(6, "Scales", Decimal(5)),
        Caption(7, "Sight-reading", Decimal(10)),
    ),
)  # fmt: skip

_ETUDE = ScoringForm(
    "Etude, 100 points with deductions",
    _captions("100", (), "Etude"),
    deductions=(
        Deduction(2, "Cut short by 1 or 2 bars", Decimal(10), Decimal(20)),
        Deduction(3, "Cut short by 3 to 5 bars", Decimal(20), Decimal(40)),
        Deduction(4, "Cut short by more than 5 bars", Decimal(60), Decimal(60)),
    ),
)

_HALF_POINTS = ScoringForm(
    "Scales in half points",
    (
        *_captions("5", (), *(f"Scale {number}" for number in range(1, 19))),
        *_captions("10", (), "Chromatic scale", first=19),
    ),
    _ratings(("70", "Proficient"), ("0", "Not yet")),
    step=Decimal("0.5"),
)

PUBLISHED_FORMS: tuple[PublishedForm, ...] = (
    PublishedForm(
        "hundred", _HUNDRED,
        "https://fdocuments.us/document/school-class-ensemble-date-adjudicator-time-phrasing-expression-dynamics.html",
    ),
    PublishedForm(
        "divisions", _DIVISIONS, "https://www.scribd.com/document/613960941/Sightreading-Evaluation-Rubric",
        captions=Basis.MEMORY, direction=Basis.MEMORY, ratings=Basis.OURS,
    ),
    PublishedForm(
        "seven", _SEVEN,
        "https://www.fill.io/Form-1-ArkansasSchoolBandandOrchestraAssociation-4f2fe6e7", ratings=Basis.OURS,
    ),
    PublishedForm(
        "six", _SIX, "https://sites.google.com/greenvilleschools.us/bms-band/trips/cpa",
        words=Basis.MEMORY, direction=Basis.MEMORY, ratings=Basis.OURS,
    ),
    PublishedForm(
        "letters", _LETTERS, "https://www.athensorchestras.com/festival-faqs.html", ratings=Basis.OURS,
    ),
    PublishedForm(
        "solo-28", _SOLO_28, "https://www.uebands.org/uehs/nyssma",
        captions=Basis.MEMORY, words=Basis.OURS, ratings=Basis.OURS,
    ),
    PublishedForm(
        "solo-100", _SOLO_100, "https://wikisum.wiki/wiki/NYSSMA", words=Basis.OURS, ratings=Basis.OURS,
    ),
    PublishedForm(
        "etude", _ETUDE,
        "https://www.tpsmea.org/organizations/band/band-adjudication-guidelines/",
        words=Basis.OURS, ratings=Basis.OURS,
    ),
    PublishedForm(
        "half-points", _HALF_POINTS, "https://studylib.net/doc/7211974/gcs-leveled-assessment",
        captions=Basis.OURS, words=Basis.OURS,
    ),
)  # fmt: skip
"""In the order in which they are offered.

The letters: three A's make a I, published; the other borders of the mean are a house choice. Of the 28 points
seven captions of four are published, their names are not. Of the half points a scale of 0 to 5, a chromatic
one of 10 and the border of 70 are published; that there are eighteen, which makes 100, is a house choice.
"""


def published_form(key: str) -> PublishedForm | None:
    """The form of that key, if there is one."""
    return next((each for each in PUBLISHED_FORMS if each.key == key), None)
