"""The invented ensemble of the demo: a town where pupils and grown-ups share one band.

Everything here is made up; no person, school or town of that name is meant.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from planner.core.ensemble import Section

BAND_NAME = "Larkspur Ferry Community and School Band"
TERM_NAME = "Reading term"
TERM_WEEKS = 16
READING_WEEKDAYS = (1, 3)
MINUTES = 12.0


@dataclass(frozen=True, slots=True)
class DemoSection:
    """A section with the first names of its players and how it really reads (which results will show)."""

    name: str
    instrument: str
    chair: int
    level: float
    players: tuple[str, ...]
    true_level: float

    def as_section(self) -> Section:
        """The section as the director would enter it."""
        return Section(
            id=0,
            name=self.name,
            instrument=self.instrument,
            chair=self.chair,
            size=len(self.players),
            level=self.level,
        )


SECTIONS: tuple[DemoSection, ...] = (
    DemoSection("Flute", "flute", 1, 2.0, ("Ottilie", "Wen", "Maribel", "Jory"), 2.3),
    DemoSection("Oboe", "oboe", 1, 1.6, ("Perpetua",), 1.7),
    DemoSection("Clarinet 1", "clarinet-bflat", 1, 2.0, ("Anselm", "Dilys", "Kofi"), 1.9),
    DemoSection("Clarinet 2", "clarinet-bflat", 2, 1.3, ("Tamsin", "Bo", "Ruza", "Eero"), 1.1),
    DemoSection("Bass Clarinet", "clarinet-bass", 1, 1.6, ("Leopold",), 1.4),
    DemoSection("Alto Saxophone", "saxophone-alto", 1, 2.0, ("Imani", "Casper", "Noor"), 2.2),
    DemoSection("Tenor Saxophone", "saxophone-tenor", 1, 1.6, ("Gudrun", "Ike"), 1.5),
    DemoSection("Baritone Saxophone", "saxophone-baritone", 1, 1.6, ("Solveig",), 1.6),
    DemoSection("Trumpet 1", "trumpet-bflat", 1, 2.0, ("Barnaby", "Xiu", "Fleur"), 1.8),
    DemoSection("Trumpet 2", "trumpet-bflat", 2, 1.3, ("Hesper", "Odo", "Lazlo"), 1.4),
    DemoSection("Horn", "horn-f", 1, 1.6, ("Quilla", "Emrys"), 1.3),
    DemoSection("Trombone", "trombone", 1, 1.6, ("Zadie", "Thorne", "Milo"), 1.8),
    DemoSection("Euphonium", "euphonium", 1, 2.0, ("Agnes", "Piran"), 2.1),
    DemoSection("Tuba", "tuba", 1, 1.6, ("Rufus", "Dagny"), 1.6),
    DemoSection("Mallets", "glockenspiel", 1, 1.6, ("Sunniva", "Kit"), 1.8),
    DemoSection("Snare and Bass Drum", "percussion", 1, 2.0, ("Amias", "Bryony", "Tove"), 2.4),
    DemoSection("Timpani", "timpani", 1, 1.6, ("Vesper",), 1.6),
)

BAND_KIND = "band"
HEARD_LAST_YEAR = ("Theme of Joy",)
"""Titles of the sample library that the band has performed, so that one piece is not fresh."""


def holidays(first: date, last: date) -> tuple[date, ...]:
    """The school's days off between two dates: the week of Thanksgiving, and two weeks of winter break.

    Thanksgiving is the fourth Thursday of November. Winter break begins on the Monday of the week that
    holds December 25. Source: common practice of American schools.

    Example:
        >>> [day.isoformat() for day in holidays(date(2026, 11, 1), date(2027, 2, 1))][::4]
        ['2026-11-23', '2026-11-27', '2026-12-24', '2026-12-30']
    """
    days: list[date] = []
    for year in range(first.year - 1, last.year + 1):
        november, christmas = date(year, 11, 1), date(year, 12, 25)
        thanksgiving = november + timedelta(days=(3 - november.weekday()) % 7, weeks=3)
        monday = christmas - timedelta(days=christmas.weekday())
        days += [thanksgiving + timedelta(days=n) for n in range(-3, 2)]
        days += [monday + timedelta(days=n) for n in (*range(5), *range(7, 12))]
    return tuple(day for day in days if first <= day <= last)


def wobble(section: str, day: int) -> float:
    """How far a section strays from what is expected on a day, -0.06 to 0.06; the same every time."""
    return ((sum(map(ord, section)) * (day + 3)) % 13 - 6) / 100


def away(player: str, day: int) -> bool:
    """Whether a player misses a day; about one in twelve does, the same every time."""
    return (sum(map(ord, player)) + 5 * day) % 12 == 0
