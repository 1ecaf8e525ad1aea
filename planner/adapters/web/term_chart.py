"""A term drawn as SVG: day by day what the sections should get right, the skills, and who has the tune.

Above, the share of bars right: the aim as a stepped line, just readable as a band, each section as a short
stroke, and the worst one as a mark whose shape says too hard, just readable or too easy. Below, a row a
skill and a row a section. Names stand in a drawing of their own, so that they stay while the days scroll.
Classes in ``programme.css``; shapes and shades carry it, colours only help.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from planner.levels.readable import EASY_ABOVE, HARD_BELOW, Verdict
from planner.services.term_page.term_picture import DayPicture, SlotPicture, TermPicture
from planner.wording.words import day, long_day, percent, short_day

NAMES_WIDE, DAYS_WIDE, LEAST_COLUMN = 184.0, 1030.0, 26.0
TOP, SHARES_HIGH, GAP, ROW, DATES_HIGH = 34.0, 210.0, 30.0, 17.0, 24.0
LOWEST_SHARE = 0.4
"""The share at the foot of the drawing; what lies lower is drawn as an arrow there (house choice)."""
DATE_WIDE, COUNT_WIDE = 46.0, 24.0


@dataclass(frozen=True, slots=True)
class TermDrawing:
    """The two drawings that stand side by side.

    Attributes:
        names: What the rows are.
        days: The days.
        share: How many times as wide the days are as the names.
    """

    names: Markup
    days: Markup
    share: float


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where days, shares and rows lie.

    Attributes:
        column: Width of a day.
        days, skills, sections: How many.
    """

    column: float
    days: int
    skills: int
    sections: int

    @property
    def width(self) -> float:
        return round(self.column * self.days, 1)

    @property
    def skills_top(self) -> float:
        return TOP + SHARES_HIGH + GAP

    @property
    def sections_top(self) -> float:
        return self.skills_top + ROW * self.skills + GAP

    @property
    def bottom(self) -> float:
        return self.sections_top + ROW * self.sections

    @property
    def height(self) -> float:
        return self.bottom + DATES_HIGH

    def x(self, at: int) -> float:
        """Middle of a day."""
        return round((at + 0.5) * self.column, 1)

    def y(self, share: float) -> float:
        """Down, of a share of bars right; held within the drawing."""
        held = min(1.0, max(LOWEST_SHARE, share))
        return round(TOP + (1 - held) / (1 - LOWEST_SHARE) * SHARES_HIGH, 1)


def draw_term(picture: TermPicture) -> TermDrawing:
    """The drawing of a term with at least one reading day."""
    count = len(picture.days)
    column = max(LEAST_COLUMN, DAYS_WIDE / max(1, count))
    frame = _Frame(column, count, len(picture.skills), len(picture.ensemble.sections))
    return TermDrawing(_names(frame, picture), _days(frame, picture), round(frame.width / NAMES_WIDE, 3))


def _names(frame: _Frame, picture: TermPicture) -> Markup:
    right = NAMES_WIDE - 6
    parts = [_text(0, TOP - 14, "Bars right of 100", "name")]
    parts += [_text(right, frame.y(share) + 4, f"{share:.0%}"[:-1], "scale") for share in _SCALE]
    parts.append(_text(0, frame.skills_top - 9, "Skill trained", "name"))
    for at, skill in enumerate(picture.skills):
        parts.append(_text(right, frame.skills_top + ROW * at + 12, skill, "scale"))
    parts.append(_text(0, frame.sections_top - 9, "Has the tune", "name"))
    for at, section in enumerate(picture.ensemble.sections):
        often, y = len(picture.turns_of(section.id)), frame.sections_top + ROW * at + 12
        name = section.name if len(section.name) <= _NAME_LONG else f"{section.name[: _NAME_LONG - 1]}…"
        parts.append(_text(right - COUNT_WIDE, y, name, "scale" if often else "scale none"))
        parts.append(_text(right, y, f"{often}×" if often else "–", "scale name" if often else "scale none"))
    return _svg(NAMES_WIDE, frame.height, parts, "")


_SCALE = (0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)
_NAME_LONG = 24


def _days(frame: _Frame, picture: TermPicture) -> Markup:
    days = picture.days
    parts = [
        _HATCH, *_ground(frame), *_week_lines(frame, picture), *_rows(frame), *_today(frame, picture),
        *_aim(frame, days), *_stays(frame, days),
    ]  # fmt: skip
    for at, each in enumerate(days):
        parts += _readings(frame, at, each)
        parts += _skills(frame, at, each, picture.skills)
        parts += _turns(frame, at, each, [section.id for section in picture.ensemble.sections])
    title = f"{picture.term.name} day by day, as in the table below"
    return _svg(frame.width, frame.height, parts, title)


_HATCH = Markup(
    '<defs><pattern id="open-day" width="6" height="6" patternUnits="userSpaceOnUse" '
    'patternTransform="rotate(45)"><path class="hatch" d="M0 0V6"/></pattern></defs>'
)


def _ground(frame: _Frame) -> list[Markup]:
    """The band of just readable, and the lines of the shares."""
    top, bottom = frame.y(EASY_ABOVE), frame.y(HARD_BELOW)
    band = f"M0 {top:g}H{frame.width:g}V{bottom:g}H0Z"
    return [
        _path(band, "readable"),
        *(_path(f"M0 {frame.y(share):g}H{frame.width:g}", "rule") for share in _SCALE),
    ]


def _rows(frame: _Frame) -> list[Markup]:
    tops = [frame.skills_top + ROW * at for at in range(frame.skills + 1)]
    tops += [frame.sections_top + ROW * at for at in range(frame.sections + 1)]
    return [_path(f"M0 {top:g}H{frame.width:g}", "rule") for top in tops]


def _week_lines(frame: _Frame, picture: TermPicture) -> list[Markup]:
    """A line before each week, every second one shaded under the turns, dates where there is room."""
    parts, at, free = [], 0, 0.0
    reading = [week for week in picture.weeks if any(not each.is_off for each in week.days)]
    for nth, week in enumerate(reading):
        count = sum(1 for each in week.days if not each.is_off)
        left = round(at * frame.column, 1)
        if nth % 2:
            box = f"M{left:g} {frame.sections_top:g}h{count * frame.column:g}V{frame.bottom:g}H{left:g}Z"
            parts.append(_path(box, "odd-week"))
        parts.append(_path(f"M{left:g} {TOP - 6:g}V{frame.bottom:g}", "week"))
        if left >= free:
            first = next(each.on for each in week.days if not each.is_off)
            parts.append(_text(left + 3, frame.height - 8, short_day(first), "date"))
            free = left + DATE_WIDE
        at += count
    return parts


def _today(frame: _Frame, picture: TermPicture) -> list[Markup]:
    before = sum(1 for each in picture.days if each.on < picture.today)
    if not 0 < before < len(picture.days):
        return []
    x = round(before * frame.column, 1)
    return [
        _path(f"M{x:g} {TOP - 20:g}V{frame.bottom:g}", "today"),
        _text(x + 4, TOP - 14, "to come", "today-name"),
    ]


def _aim(frame: _Frame, days: Sequence[DayPicture]) -> list[Markup]:
    shape = ""
    for at, each in enumerate(days):
        left, right = at * frame.column, (at + 1) * frame.column
        shape += f"{'L' if shape else 'M'}{left:g} {frame.y(each.aim):g}L{right:g} {frame.y(each.aim):g}"
    return [_path(shape, "aim")] if shape else []


def _stays(frame: _Frame, days: Sequence[DayPicture]) -> list[Markup]:
    """A bar over the days that planning again leaves as they are."""
    kept = [at for at, each in enumerate(days) if each.stays]
    return [
        _path(f"M{at * frame.column + 2:g} {TOP - 4:g}H{(at + 1) * frame.column - 2:g}", "stays")
        for at in kept
    ]


def _readings(frame: _Frame, at: int, each: DayPicture) -> Iterable[Markup]:
    if each.open_slots and not each.slots:
        left = at * frame.column + 2
        box = f"M{left:g} {TOP:g}H{left + frame.column - 4:g}V{frame.bottom:g}H{left:g}Z"
        yield _path(box, "open-day", f"{long_day(each.on)}: open")
    for nth, slot in enumerate(each.slots):
        x = frame.x(at) + (nth - (len(each.slots) - 1) / 2) * min(12.0, frame.column / len(each.slots))
        yield from _reading(frame, x, each, slot)


def _reading(frame: _Frame, x: float, each: DayPicture, slot: SlotPicture) -> Iterable[Markup]:
    worst = slot.worst
    if worst is None:
        return
    half = 3.5 if len(each.slots) > 1 else 5.0
    others = [forecast for forecast in slot.forecasts if forecast is not worst]
    strokes = "".join(f"M{x - half:g} {frame.y(one.share):g}h{2 * half:g}" for one in others)
    title = (
        f"{day(each.on)}, {slot.piece.title}: {worst.section.name} {percent(worst.share)}, {worst.verdict}"
    )
    kind = "read" if worst.was_read else "expected"
    yield _path(strokes, f"section {kind}")
    span = f"M{x:g} {frame.y(max(one.share for one in slot.forecasts)):g}V{frame.y(worst.share):g}"
    yield _path(span, "spread")
    shape = _arrow if worst.share < LOWEST_SHARE else _MARKS[worst.verdict]
    yield _path(shape(x, frame.y(worst.share)), f"worst {kind} {worst.verdict.replace(' ', '-')}", title)


def _up(x: float, y: float) -> str:
    return f"M{x - 5.5:g} {y + 4.5:g}H{x + 5.5:g}L{x:g} {y - 5.5:g}Z"


def _down(x: float, y: float) -> str:
    return f"M{x - 5:g} {y - 4:g}H{x + 5:g}L{x:g} {y + 5:g}Z"


def _disk(x: float, y: float) -> str:
    return f"M{x - 4.2:g} {y:g}a4.2 4.2 0 1 0 8.4 0a4.2 4.2 0 1 0 -8.4 0Z"


def _arrow(x: float, y: float) -> str:
    return f"M{x - 5.5:g} {y - 8:g}H{x + 5.5:g}L{x:g} {y:g}Z"


_MARKS: dict[Verdict, Callable[[float, float], str]] = {
    Verdict.TOO_HARD: _up,
    Verdict.JUST_READABLE: _disk,
    Verdict.TOO_EASY: _down,
    Verdict.UNKNOWN: _disk,
}


def _skills(frame: _Frame, at: int, each: DayPicture, skills: Sequence[str]) -> Iterable[Markup]:
    for skill in dict.fromkeys(slot.slot.focus for slot in each.slots):
        if skill in skills:
            x, y = frame.x(at), frame.skills_top + ROW * skills.index(skill)
            box = f"M{x - 5:g} {y + 3.5:g}h10v10h-10Z"
            yield _path(box, "cell past" if each.is_past else "cell", f"{day(each.on)}: {skill}")


def _turns(frame: _Frame, at: int, each: DayPicture, sections: Sequence[int]) -> Iterable[Markup]:
    for slot in each.slots:
        section = slot.slot.featured_section_id
        if section in sections:
            y = frame.sections_top + ROW * sections.index(section) + ROW / 2
            title = f"{day(each.on)}: {slot.featured}"
            yield _path(_disk(frame.x(at), y), "cell past" if each.is_past else "cell", title)


def _svg(width: float, height: float, parts: Iterable[Markup], title: str) -> Markup:
    naming = Markup('role="img" aria-label="{}"').format(title) if title else Markup('aria-hidden="true"')
    opening = Markup('<svg class="chart term" viewBox="0 0 {0:g} {1:g}" width="{0:g}" height="{1:g}" {2}>')
    return opening.format(width, height, naming) + Markup("").join(parts) + Markup("</svg>")


def _path(shape: str, kind: str, title: str = "") -> Markup:
    if not title:
        return Markup('<path class="{}" d="{}"/>').format(kind, shape)
    return Markup('<path class="{}" d="{}"><title>{}</title></path>').format(kind, shape, title)


def _text(x: float, y: float, text: str, kind: str) -> Markup:
    return Markup('<text class="{}" x="{:g}" y="{:g}">{}</text>').format(kind, x, y, text)
