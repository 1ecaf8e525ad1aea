"""Random small gradebooks, and their marks worked out another way: by ballots that are counted one by one.

Nothing here comes from the program but the shapes of what goes in. Weights become whole numbers of equal
ballots, a mean is the sum of all ballots over their number, and which days are dropped is found by trying
every choice of days.
"""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import combinations
from math import gcd, lcm
from random import Random

from planner.core.mark_scheme import MarkScheme, ScaleStep
from planner.core.term import Attendance
from planner.services.sheets.views import GradebookDay, GradebookSheet, PlayerDay, SectionReading

FIRST = date(2026, 9, 1)
WEIGHTS = ("0", "1", "2.5", "4")
DAY_WEIGHTS = ("0", "50", "150", "25")


def random_scheme(rng: Random, *, forms: bool = False) -> MarkScheme:
    """Any scheme that the program takes; with the weight of a scoring form, if asked for."""

    def weight():
        return Decimal(rng.choice(WEIGHTS))

    borders = sorted(rng.sample(range(101), rng.randint(1, 6)))
    scale = tuple(
        ScaleStep(Decimal(border) / 100, Decimal(rng.randint(0, 200)) / 2, f"Step {at}")
        for at, border in enumerate(borders)
    )
    days = [FIRST + timedelta(days=n) for n in range(8)]
    return MarkScheme(
        scale=scale, first=Decimal(2), second=weight(), gain=weight(), section=Decimal(3),
        form=weight() if forms else Decimal(0), own=weight(), attendance=weight(),
        even=forms and rng.random() < 0.5, own_replaces=rng.random() < 0.5, late=Decimal(rng.randint(0, 100)),
        absent=Decimal(rng.randint(0, 40)), drop=rng.choice((0, 0, 1, 2, 9)),
        days=tuple((on, Decimal(rng.choice(DAY_WEIGHTS))) for on in days if rng.random() < 0.3),
    )  # fmt: skip


def random_gradebook(rng: Random, *, forms: bool = False) -> GradebookSheet:
    """A few sections, players and days, with gaps everywhere; with points of scoring forms, if asked for."""
    sections = tuple((n, f"Section {n}") for n in range(1, rng.randint(2, 4)))
    players = tuple(
        (10 * section + n, f"Player {section}.{n}", name)
        for section, name in sections
        for n in range(rng.randint(0, 3))
    )

    def share():
        return rng.randint(0, 40) / 40 if rng.random() < 0.3 else rng.randint(30, 100) / 100

    def day(on):
        pieces = tuple(f"Piece {n}" for n in range(rng.randint(1, 2)))
        readings = [
            SectionReading(
                section, name, piece, share() if (is_read := rng.random() < 0.85) else None,
                share() if is_read and rng.random() < 0.6 else None,
                form_share=Fraction(rng.randint(0, 28), 28) if forms and rng.random() < 0.4 else None,
                piece_id=at,
            )
            for at, piece in enumerate(pieces, start=1)
            for section, name in sections
        ]  # fmt: skip
        return GradebookDay(on, pieces, tuple(readings), tuple(
            PlayerDay(
                seat, name, seat // 10, section, rng.choice((None, *Attendance, Attendance.PRESENT)),
                Decimal(rng.randint(0, 400)) / 4 if rng.random() < 0.3 else None,
                on + timedelta(days=3) if rng.random() < 0.3 else None,
            )
            for seat, name, section in players
            if rng.random() < 0.9
        ))  # fmt: skip

    days = tuple(day(FIRST + timedelta(days=n)) for n in range(rng.randint(0, 6)))
    return GradebookSheet(
        "Band", "Fall", sections, players, days, random_scheme(rng, forms=forms), FIRST, "0"
    )


def mean_of_ballots(ballots: list[tuple[Fraction, Decimal]]) -> Fraction | None:
    """The mean, each value as many times as it weighs."""
    exact = [(value, Fraction(str(weight))) for value, weight in ballots]
    once = lcm(*(weight.denominator for _, weight in exact)) if exact else 1
    whole = [int(weight * once) for _, weight in exact]
    share = gcd(*whole) or 1
    urn = [value for (value, _), count in zip(exact, whole, strict=True) for _ in range(count // share)]
    return Fraction(sum(urn), len(urn)) if urn else None


def section_by_hand(sheet: GradebookSheet, section: int, day: GradebookDay) -> Fraction | None:
    """A section's mark of a day."""
    scheme, marks = sheet.scheme, []
    for reading in day.readings:
        if reading.section_id != section:
            continue
        ballots = [] if reading.form_share is None else [(reading.form_share, scheme.form)]
        if reading.first_share is not None:
            first = Fraction(str(reading.first_share))
            ballots.append((first, scheme.first))
            if reading.second_share is not None:
                second = Fraction(str(reading.second_share))
                ballots.append((second, scheme.second))
                if wrong := 1 - first:
                    mended = second - first if second > first else Fraction(0)
                    ballots.append((mended / wrong, scheme.gain))
        share = mean_of_ballots(ballots)
        if share is None:
            continue
        held = held_by_hand(scheme, share)
        if held is not None:
            marks.append(held)
    return Fraction(sum(marks), len(marks)) if marks else None


def held_by_hand(scheme: MarkScheme, share: Fraction) -> Fraction | None:
    """The mark of a share by the table as one reads it, line by line; evenly as a mean of two lines."""
    lines = sorted((Fraction(str(step.share)), Fraction(str(step.mark))) for step in scheme.scale)
    found = None
    for (at, mark), (following, higher) in zip(lines, [*lines[1:], (Fraction(2), None)], strict=True):
        if at <= share < following:
            found = mark
            if scheme.even and higher is not None:
                found = (mark * (following - share) + higher * (share - at)) / (following - at)
    return found


def player_by_hand(sheet: GradebookSheet, seat: int, day: GradebookDay) -> Fraction | None:
    """A player's mark of a day; None when they did not sit there."""
    scheme = sheet.scheme
    own = next((each for each in day.players if each.player_id == seat), None)
    if own is None:
        return None
    section, ballots = section_by_hand(sheet, seat // 10, day), []
    away = own.attendance in ("absent", "excused")
    mark = None if own.mark is None or (away and not own.made_up_on) else Fraction(str(own.mark))
    if mark is not None:
        ballots.append((mark, scheme.own))
    if section is not None and not away and (mark is None or not scheme.own_replaces):
        ballots.append((section, scheme.section))
    credit = {"present": Decimal(100), "late": scheme.late, "absent": scheme.absent}.get(own.attendance)
    if own.attendance == "absent" and own.made_up_on:
        credit = Decimal(100)
    if credit is not None:
        ballots.append((Fraction(str(credit)), scheme.attendance))
    return mean_of_ballots(ballots)


def term_by_hand(sheet: GradebookSheet, marks: dict[date, Fraction | None]) -> Fraction | None:
    """The mark of a term from those of its days: every choice of days to drop is tried."""
    weights = dict(sheet.scheme.days)
    counted = [
        (mark, weights.get(on, Decimal(100)))
        for on, mark in sorted(marks.items())
        if mark is not None and weights.get(on, Decimal(100))
    ]
    if not counted:
        return None
    drop = min(sheet.scheme.drop, len(counted) - 1)
    places = min(combinations(range(len(counted)), drop), key=lambda at: sum(counted[n][0] for n in at))
    return mean_of_ballots([each for n, each in enumerate(counted) if n not in places])
