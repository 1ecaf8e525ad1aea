"""Terms with all that belongs to them, in one statement: weekdays, days off, aims, concerts, other days."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Date,
    Float,
    Integer,
    Row,
    Select,
    Text,
    cast,
    literal,
    null,
    select,
    union_all,
)
from sqlalchemy.orm import InstrumentedAttribute, Session

from planner.adapters.db.tables import (
    AbsentSectionRow,
    DayShapeRow,
    StationRow,
    StationSectionRow,
    TermAimRow,
    TermConcertRow,
    TermDayOffRow,
    TermRow,
    TermWeekdayRow,
)
from planner.core.term import DayShape, Station


@dataclass(slots=True)
class TermParts:
    """Of one term; each list in its order."""

    weekdays: list[int] = field(default_factory=list)
    days_off: list[date] = field(default_factory=list)
    aims: list[tuple[date, float]] = field(default_factory=list)
    concerts: list[date] = field(default_factory=list)
    shapes: list[DayShape] = field(default_factory=list)


def read_terms(session: Session, *conditions: ColumnElement[bool]) -> list[tuple[TermRow, TermParts]]:
    """Terms by first day with what belongs to them."""
    parts = union_all(*_selects()).subquery()
    asked = (
        select(TermRow, *parts.c)
        .outerjoin(parts, parts.c.term_id == TermRow.id)
        .where(*conditions)
        .order_by(TermRow.first_day, TermRow.id)
    )
    terms: dict[int, TermRow] = {}
    rows: dict[int, dict[str, list[Row[Any]]]] = defaultdict(lambda: defaultdict(list))
    for row in session.execute(asked):
        terms[row.TermRow.id] = row.TermRow
        if row.kind is not None:
            rows[row.TermRow.id][row.kind].append(row)
    return [(term, _parts_of(rows[term.id])) for term in terms.values()]


def _parts_of(rows: Mapping[str, list[Row[Any]]]) -> TermParts:
    return TermParts(
        weekdays=[row.two for row in sorted(rows["weekday"], key=lambda row: row.one)],
        days_off=[row.on_day for row in sorted(rows["off"], key=lambda row: row.one)],
        aims=sorted((row.on_day, row.number) for row in rows["aim"]),
        concerts=sorted(row.on_day for row in rows["concert"]),
        shapes=_shapes(rows),
    )


def _selects() -> list[Select[Any]]:
    off, weekday, aim, concert = TermDayOffRow, TermWeekdayRow, TermAimRow, TermConcertRow
    shape, absent, station, seat = DayShapeRow, AbsentSectionRow, StationRow, StationSectionRow
    return [
        _part("off", off.term_id, off.on_day, one=off.position),
        _part("weekday", weekday.term_id, None, one=weekday.position, two=weekday.weekday),
        _part("aim", aim.term_id, aim.on_day, number=aim.level),
        _part("concert", concert.term_id, concert.on_day),
        _part("shape", shape.term_id, shape.on_day, one=shape.slots, number=shape.minutes),
        _part("absent", absent.term_id, absent.on_day, one=absent.section_id),
        _part("station", station.term_id, station.on_day, one=station.position, words=station.name),
        _part("seat", seat.term_id, seat.on_day, one=seat.position, two=seat.place, three=seat.section_id),
    ]


def _part(
    kind: str,
    term_id: InstrumentedAttribute[int],
    on_day: InstrumentedAttribute[date] | None,
    **values: InstrumentedAttribute[Any],
) -> Select[Any]:
    """Rows of one kind in the columns that all kinds share."""
    types: Mapping[str, Any] = {
        "one": Integer, "two": Integer, "three": Integer, "number": Float, "words": Text,
    }  # fmt: skip
    columns: list[ColumnElement[Any]] = [
        (values[name] if name in values else cast(null(), type_)).label(name) for name, type_ in types.items()
    ]
    day = cast(null(), Date) if on_day is None else on_day
    return select(literal(kind).label("kind"), term_id.label("term_id"), day.label("on_day"), *columns)


def _shapes(rows: Mapping[str, list[Row[Any]]]) -> list[DayShape]:
    absent, seats = defaultdict(list), defaultdict(list)
    for row in sorted(rows["absent"], key=lambda row: row.one):
        absent[row.on_day].append(row.one)
    for row in sorted(rows["seat"], key=lambda row: row.two):
        seats[row.on_day, row.one].append(row.three)
    stations = defaultdict(list)
    for row in sorted(rows["station"], key=lambda row: row.one):
        stations[row.on_day].append(Station(row.words, tuple(seats[row.on_day, row.one])))
    return [
        DayShape(row.on_day, row.number, row.one, tuple(stations[row.on_day]), tuple(absent[row.on_day]))
        for row in sorted(rows["shape"], key=lambda row: row.on_day)
    ]
