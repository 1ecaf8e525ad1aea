"""A library in a database, and lists for it."""

from datetime import date

from planner.core.table import Cell, CellFault, Row, Table, TableChoice
from planner.services.catalogue.columns import guess_columns
from planner.services.catalogue.preview import preview
from planner.services.catalogue.store import store_rows
from tests.fakes import BY, make_profile, make_source

DAY = date(2026, 9, 3)


def table_of(*rows) -> Table:
    """A table as it was read; a fault stands for its cell."""
    made = [
        Row(number, tuple(Cell(fault=c) if isinstance(c, CellFault) else Cell(str(c)) for c in row))
        for number, row in enumerate(rows, start=1)
    ]
    return Table(tuple(made), TableChoice())


def look(library, *rows, **options):
    """What a list would do."""
    table = table_of(*rows)
    with library() as work:
        return preview(work, table, guess_columns(table), **options)


def take(library, *rows, **options):
    """Take a list in; what was looked at, and what was stored."""
    table = table_of(*rows)
    with library() as work:
        found = preview(work, table, guess_columns(table), **options)
        stored = store_rows(work, found, "list.csv", BY, DAY)
        work.commit()
    return found, stored


def add_score(library, title="Rondo", **changes) -> int:
    """A piece with a score."""
    with library() as work:
        piece_id = work.pieces.add(make_source(title), make_profile(title, **changes), DAY)
        work.commit()
    return piece_id
