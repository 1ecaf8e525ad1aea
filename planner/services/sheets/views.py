"""What the printed sheets hold: frozen views that a service fills and an exporter only lays out."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from planner.core.filled_in import FileIdentity, PlayerAt, ReadingAt
from planner.core.mark_scheme import MarkScheme
from planner.core.term import Attendance
from planner.services.sheets.director.views import DirectorSheet


class SheetKind(StrEnum):
    """The versions of a player's sheet."""

    PLAIN = "plain"
    BLANKS = "blanks"
    """What the sheet says is asked, to be filled in from the part; the answers stand on a page behind it."""
    LARGE_PRINT = "large-print"

    @property
    def ending(self) -> str:
        """What the names of its files end with."""
        return "" if self is SheetKind.PLAIN else f"-{self.value}"


@dataclass(frozen=True, slots=True)
class GuideLine:
    """A line of a player's sheet, and the SVG of the music that belongs to it with its width on paper.

    Narrow music stands beside the words, wide music beneath; ``svg`` is empty without any.
    """

    text: str
    svg: str = ""
    width_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class GuideBlock:
    """Lines under a heading."""

    heading: str
    lines: tuple[GuideLine, ...]


@dataclass(frozen=True, slots=True)
class GuideStart:
    """What stands at the head of a player's sheet.

    Attributes:
        count_off: What is said before the first note; empty in free time.
        tempo: The first-reading tempo as a metronome mark; empty when unknown.
        feel: How it feels.
        second_tempo: The tempo of the second reading.
        meter: The first time signature.
        strokes: Its felt groups, in units of the lower number; empty where none is known.
        bars: How many are written.
        road: The passages in the order in which they are played, by printed numbers; empty straight through.
    """

    count_off: str
    tempo: str
    feel: str
    second_tempo: str
    meter: str
    strokes: tuple[int, ...]
    bars: str
    road: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DynamicPlace:
    """A mark, or a hairpin, on the dynamics line: from where to where as shares of its row, 0 to 1."""

    mark: str
    start: float
    end: float
    bar: str


DynamicRow = tuple[DynamicPlace, ...]
"""The marks and hairpins of some bars that follow each other."""


@dataclass(frozen=True, slots=True)
class QuestionLine:
    """A question and its answer."""

    question: str
    answer: str


@dataclass(frozen=True, slots=True)
class Blank:
    """Something to be filled in from the part.

    Attributes:
        prompt: What.
        answer: What is right; empty where nobody has read the score.
        svg, width_mm: Music to write beneath, and its width on paper; empty without any.
    """

    prompt: str
    answer: str = ""
    svg: str = ""
    width_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class GuideView:
    """The sheet of one part, for its player.

    Attributes:
        title, credit: Of the piece; ``credit`` names composer and arranger, may be empty.
        part: Name of the part.
        players: Who reads it, e.g. ``"Clarinet 2 (4 players)"``; may be empty.
        ensemble, on, position: Whose reading day, and the place of the piece in that day (0-based).
        start: What is taken in first.
        blocks: What to find before the first note, in reading order.
        dynamics: The dynamics over the bars, in rows; empty where there are none, or too many to draw.
        boxes: What is ticked off in the study time.
        questions: What the player answers from the page; only the questions are printed on the sheet.
        care: One line of caution.
        copies: How often it is printed in a packet: one for each player.
        made_on, library_version: For the foot of the sheet.
        blanks: What is to be filled in; on a sheet with blanks alone.
        is_large: Printed in 18 point, on two pages if need be.
    """

    title: str
    credit: str
    part: str
    players: str
    ensemble: str
    on: date
    position: int
    start: GuideStart
    blocks: tuple[GuideBlock, ...]
    dynamics: tuple[DynamicRow, ...]
    boxes: tuple[str, ...]
    questions: tuple[QuestionLine, ...]
    care: str
    made_on: date
    library_version: str
    copies: int = 1
    blanks: tuple[Blank, ...] = ()
    is_large: bool = False


@dataclass(frozen=True, slots=True)
class GuidePacket:
    """The sheets of a piece in score order, with what its first page says.

    Attributes:
        sheets: Each is printed as often as it has ``copies``.
        without: Parts that have no sheet, each with the reason in a few words.
        director: The director's sheet, which stands before them; None where none belongs to them.
        title: What its first page is called; empty for the title of its piece.
    """

    sheets: tuple[GuideView, ...]
    without: tuple[tuple[str, str], ...] = ()
    director: DirectorSheet | None = None
    title: str = ""

    def name_of(self, sheet: GuideView) -> str:
        """What a sheet is called among the others: its part, with its piece where they are of several."""
        titles = {each.position for each in self.sheets}
        return f"{sheet.title}: {sheet.part}" if len(titles) > 1 else sheet.part


@dataclass(frozen=True, slots=True)
class PlanRow:
    """One slot of a plan.

    ``level`` is the piece's for the ensemble, None when unknown, ``target`` what the day aims at in few
    words; ``reading_bpm`` is in beats of ``beat_unit`` a minute, None when unknown; ``reasons`` are all there
    are, ``why`` those that anybody may read on a wall; ``room`` says round and station, empty where all read
    together.
    """

    on: date
    position: int
    title: str
    credit: str
    level: float | None
    focus: str
    featured: str
    minutes: float
    reading_bpm: int | None
    beat_unit: str
    is_pinned: bool
    is_past: bool
    reasons: tuple[str, ...] = ()
    room: str = ""
    why: tuple[str, ...] = ()
    target: str = ""


@dataclass(frozen=True, slots=True)
class DayWithoutPiece:
    """A day on which the ensemble would read, and why it does not, in a few words."""

    on: date
    reason: str


@dataclass(frozen=True, slots=True)
class DayNote:
    """What a sheet says of a day with pieces: above them how it differs, beneath them what is still open."""

    on: date
    text: str
    is_above: bool


@dataclass(frozen=True, slots=True)
class CalendarDay:
    """A reading day as calendars are to have it.

    Attributes:
        on: The day.
        uid, sequence, changed_at: Its identity, how often it has changed, and when it last did (UTC).
        title, lines: What its entry is called and says.
        starts_at: When it begins by the clock of ``time_zone``; None for an entry of the whole day.
        time_zone: IANA name; empty without ``starts_at``.
        minutes: How long it lasts.
        is_cancelled: It has fallen away, and calendars are to take it out.
    """

    on: date
    uid: str
    sequence: int
    changed_at: datetime
    title: str
    lines: tuple[str, ...] = ()
    starts_at: time | None = None
    time_zone: str = ""
    minutes: float = 0.0
    is_cancelled: bool = False


@dataclass(frozen=True, slots=True)
class PlanSheet:
    """A filled term.

    Attributes:
        term_id, term, ensemble: What was planned, for whom.
        first, last: First and last reading day of the term.
        minutes: Minutes for sight-reading on a reading day.
        rows: In order of date and position.
        without_piece: In order of date: days off that would be reading days, and reading days left open.
        notes: What is to be known of days with pieces beside these.
        proof: How good the plan is known to be, as a sentence.
        made_on, library_version: For the foot of the sheet.
        calendar: The days for calendars, those that fell away among them; empty on a sheet for paper.
    """

    term_id: int
    term: str
    ensemble: str
    first: date
    last: date
    minutes: float
    rows: tuple[PlanRow, ...]
    without_piece: tuple[DayWithoutPiece, ...]
    proof: str
    made_on: date
    library_version: str
    calendar: tuple[CalendarDay, ...] = ()
    notes: tuple[DayNote, ...] = ()


@dataclass(frozen=True, slots=True)
class FormLine:
    """A caption or deduction of a printed scoring form; ``points`` is empty where nothing was given."""

    name: str
    range: str
    bands: str
    points: str


@dataclass(frozen=True, slots=True)
class FormSheet:
    """A scoring form on paper.

    Attributes:
        ensemble, term, form: Whose form, and what it is called.
        on, whom, piece: What it is filled in for; None or empty leaves room to write.
        lines: What points are given for.
        outcome: Total and rating as a sentence; empty leaves room.
        ratings, bands_note: What totals are called, and how borders are read; may be empty.
        made_on, library_version: For the foot of the page.
    """

    ensemble: str
    term: str
    form: str
    on: date | None
    whom: str
    piece: str
    lines: tuple[FormLine, ...]
    outcome: str
    ratings: str
    bands_note: str
    made_on: date
    library_version: str


@dataclass(frozen=True, slots=True)
class SectionReading:
    """How a section read a piece; shares are None until entered. ``counts`` is whether it moves its level.

    ``piece_id`` is 0 on a day without a piece; ``fell_apart``: the first reading stopped before its end.
    ``form_share`` is what the points of the scoring form come to, 0 to 1, the section's own or else those of
    the whole ensemble; None until the form is filled in.
    """

    section_id: int
    section: str
    piece: str
    first_share: float | None = None
    second_share: float | None = None
    note: str = ""
    counts: bool = True
    piece_id: int = 0
    fell_apart: bool = False
    form_share: Fraction | None = None


@dataclass(frozen=True, slots=True)
class PlayerDay:
    """A player on one day: there or not (None: not said), a mark of their own if it differs, a make-up."""

    player_id: int
    player: str
    section_id: int
    section: str
    attendance: Attendance | None = None
    mark: Decimal | None = None
    made_up_on: date | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class DayFileSheet:
    """The worksheet of a reading day, to be filled in.

    Attributes:
        ensemble, term, on: Whose, and of which day.
        identity: What it is written from.
        written: By key what its cells hold, blank ones left out.
        readings: What can be filled in of sections: place, piece, section, and whether it is to be away.
        players: Of players: place, section, player.
    """

    ensemble: str
    term: str
    on: date
    identity: FileIdentity
    written: Mapping[str, str]
    readings: tuple[tuple[ReadingAt, str, str, bool], ...]
    players: tuple[tuple[PlayerAt, str, str], ...]


@dataclass(frozen=True, slots=True)
class TallyPiece:
    """A piece on the tally sheet.

    ``tempo`` is that of the first reading, empty when unknown; each section comes with whether it is away.
    """

    title: str
    tempo: str
    sections: tuple[tuple[str, bool], ...]


@dataclass(frozen=True, slots=True)
class TallySheet:
    """The sheet of a reading day to be written on by hand; ``players`` are names by section."""

    ensemble: str
    term: str
    on: date
    pieces: tuple[TallyPiece, ...]
    players: tuple[tuple[str, tuple[str, ...]], ...]
    made_on: date
    library_version: str


@dataclass(frozen=True, slots=True)
class GradebookDay:
    """One reading day of the gradebook."""

    on: date
    pieces: tuple[str, ...]
    readings: tuple[SectionReading, ...]
    players: tuple[PlayerDay, ...]


NOTHING_STORED = FileIdentity("gradebook", "0", 0, 0)
"""What a gradebook is written from that comes from no library; it can be read in nowhere."""


@dataclass(frozen=True, slots=True)
class GradebookSheet:
    """The gradebook of a term: every reading day with what is known so far.

    Attributes:
        ensemble, term: Whose.
        sections: ``(id, name)`` in score order.
        players: ``(id, name, section name)``.
        days: In order of date.
        scheme: How marks are worked out.
        made_on, library_version: For the foot of the sheet.
        identity: What it is written from, so that it can be read in.
        written: By key what its cells hold, blank ones left out.
    """

    ensemble: str
    term: str
    sections: tuple[tuple[int, str], ...]
    players: tuple[tuple[int, str, str], ...]
    days: tuple[GradebookDay, ...]
    scheme: MarkScheme
    made_on: date
    library_version: str
    identity: FileIdentity = NOTHING_STORED
    written: Mapping[str, str] = field(default_factory=dict)
