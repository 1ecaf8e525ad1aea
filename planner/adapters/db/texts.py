"""Every text in the database, wherever it stands: read in one statement, and written back."""

import json
from collections.abc import Callable, Iterator, Sequence
from datetime import date
from typing import Any

from sqlalchemy import (
    JSON,
    Column,
    Date,
    Integer,
    Select,
    Table,
    Text,
    cast,
    literal,
    null,
    select,
    union_all,
)
from sqlalchemy.orm import Session

from planner.adapters.db.tables import Base
from planner.services.ports.records import StoredText

_WORKED_OUT = frozenset({"piece_lines", "ensemble_levels", "profiles", "likenesses"})
"""Tables that hold nothing but what the program found in the score files."""

_KEY_PARTS = 4
"""Columns of the longest primary key."""


class SqlTexts:
    """``TextRepository`` over all tables: what a later revision adds is in it without further ado."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def find(self, is_wanted: Callable[[str], bool]) -> Sequence[StoredText]:
        """The texts and the JSON values in which a wanted text stands, in the order of the tables."""
        rows = self._session.execute(union_all(*(_texts_of(*place) for place in _places())))
        found = (
            StoredText(
                table, column, tuple(part for part in key if part is not None), _value(table, column, text)
            )
            for table, column, *key, text in rows
            if text
        )
        return [each for each in found if any(map(is_wanted, texts_in(each.value)))]

    def put(self, text: StoredText) -> None:
        """Write a text back to its place; nothing happens when its row is gone."""
        table = Base.metadata.tables[text.table]
        keys = table.primary_key.columns
        where = [column == _key_value(column, part) for column, part in zip(keys, text.key, strict=True)]
        self._session.execute(table.update().where(*where).values({text.column: text.value}))
        self._session.expire_all()


def texts_in(value: Any) -> Iterator[str]:
    """The texts in a JSON value, names of its values too."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for name, each in value.items():
            yield name
            yield from texts_in(each)
    elif isinstance(value, list):
        for each in value:
            yield from texts_in(each)


def _places() -> Iterator[tuple[Table, Column[Any]]]:
    """The columns that hold texts of people, those that make a row what it is aside."""
    for table in Base.metadata.sorted_tables:
        if table.name not in _WORKED_OUT:
            for column in table.columns:
                if isinstance(column.type, Text | JSON) and not column.primary_key:
                    yield table, column


def _texts_of(table: Table, column: Column[Any]) -> Select[*tuple[Any, ...]]:
    key = [cast(each, Text) for each in table.primary_key.columns]
    padding = [cast(null(), Text)] * (_KEY_PARTS - len(key))
    return select(literal(table.name), literal(column.name), *key, *padding, cast(column, Text))


def _value(table: str, column: str, text: str) -> Any:
    is_json = isinstance(Base.metadata.tables[table].columns[column].type, JSON)
    return json.loads(text) if is_json else text


def _key_value(column: Column[Any], text: str) -> object:
    if isinstance(column.type, Integer):
        return int(text)
    return date.fromisoformat(text) if isinstance(column.type, Date) else text
