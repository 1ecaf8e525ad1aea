"""People apart from their seats: one may sit in several sections and ensembles, leave and come back.

Until now each seat had a name of its own, and seats of the same name in two ensembles were taken for one
person; so they stay one person. A note that named a player in what a section has met is emptied: seats tell
it now.

Revision 0018, after 0017.
"""

import unicodedata
from collections.abc import Mapping
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None


_INTEGER = sa.Integer()
_SEAT = (
    sa.Column("id", _INTEGER, nullable=False),
    sa.Column("section_id", _INTEGER, nullable=False),
)
_DAYS = (sa.Column("joined", sa.Date(), nullable=True), sa.Column("gone_on", sa.Date(), nullable=True))
_NAME = sa.Column("name", sa.Text(), nullable=False)
_PERSON = sa.Column("person_id", _INTEGER, nullable=False)
_MET = (
    sa.Column("id", _INTEGER, nullable=False),
    sa.Column("ensemble_id", _INTEGER, nullable=False),
    sa.Column("section_id", _INTEGER, nullable=True),
    sa.Column("piece_id", _INTEGER, nullable=False),
    sa.Column("how", sa.Text(), nullable=False),
    sa.Column("on_day", sa.Date(), nullable=True),
    sa.Column("note", sa.Text(), nullable=False),
)
_MET_BY = sa.Column("person_id", _INTEGER, nullable=True)
_MET_KEYS = {"ensemble_id": "ensembles", "section_id": "sections", "piece_id": "pieces"}


def upgrade() -> None:
    op.create_table(
        "people",
        sa.Column("id", _INTEGER, nullable=False),
        _NAME.copy(),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_people")),
        sqlite_autoincrement=True,
    )
    seats = _people_of_seats()
    _change_players((*_SEAT, _PERSON, *_DAYS), add=_PERSON, drop="name", filled="0")
    for seat, person in seats.items():
        op.get_bind().execute(
            sa.text("UPDATE players SET person_id = :person WHERE id = :seat"), {"person": person, "seat": seat}
        )
    if not _is_sqlite():
        op.alter_column("players", "person_id", server_default=None)
        op.create_foreign_key(op.f("fk_players_person_id"), "players", "people", ["person_id"], ["id"])
        op.add_column("exposures", _MET_BY.copy())
        op.create_foreign_key(op.f("fk_exposures_person_id"), "exposures", "people", ["person_id"], ["id"])
        op.create_index(op.f("ix_exposures_person_id"), "exposures", ["person_id"])
    else:
        _make_anew("exposures", (*_MET, _MET_BY), {**_MET_KEYS, "person_id": "people"}, _names(_MET))
        _index_exposures("section_id", "piece_id", "person_id")
    op.create_index(op.f("ix_players_person_id"), "players", ["person_id"])
    op.execute(sa.text("UPDATE exposures SET note = '' WHERE note LIKE '% met it in %'"))


def _is_sqlite() -> bool:
    return op.get_bind().dialect.name == "sqlite"


def _names(columns: tuple[sa.Column[Any], ...]) -> dict[str, str]:
    """Columns that are carried over as they are."""
    return {column.name: column.name for column in columns}


def _change_players(
    columns: tuple[sa.Column[Any], ...], *, add: sa.Column[Any], drop: str, filled: str
) -> None:
    """Seats with these columns; the one that is added is filled with an expression."""
    if not _is_sqlite():
        anew = add.copy()
        anew.server_default = sa.DefaultClause(filled)
        op.add_column("players", anew)
        op.drop_column("players", drop)
        return
    keys = {"section_id": "sections"} | ({"person_id": "people"} if add is _PERSON else {})
    _make_anew("players", columns, keys, {**_names((*_SEAT, *_DAYS)), add.name: filled})
    op.create_index(op.f("ix_players_section_id"), "players", ["section_id"])


def _index_exposures(*columns: str) -> None:
    op.create_index(op.f("ix_exposures_ensemble_id_piece_id"), "exposures", ["ensemble_id", "piece_id"])
    for column in columns:
        op.create_index(op.f(f"ix_exposures_{column}"), "exposures", [column])


def _make_anew(
    table: str, columns: tuple[sa.Column[Any], ...], keys: Mapping[str, str], filled: Mapping[str, str]
) -> None:
    """A table of SQLite with these columns in place of the one before, filled from it.

    SQLite cannot add a column that refers to another table.
    """
    op.create_table(
        f"{table}_anew",
        *(column.copy() for column in columns),
        *(
            sa.ForeignKeyConstraint([column], [f"{other}.id"], name=op.f(f"fk_{table}_{column}"))
            for column, other in keys.items()
        ),
        sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{table}")),
        sqlite_autoincrement=True,
    )
    into, out_of = ", ".join(filled), ", ".join(filled.values())
    op.execute(sa.text(f"INSERT INTO {table}_anew ({into}) SELECT {out_of} FROM {table}"))  # noqa: S608
    op.drop_table(table)
    op.rename_table(f"{table}_anew", table)


def _people_of_seats() -> Mapping[int, int]:
    """By seat, the person who sits there, newly stored; the same name is the same person."""
    connection = op.get_bind()
    people: dict[str, int] = {}
    found: dict[int, int] = {}
    for seat, name in connection.execute(sa.text("SELECT id, name FROM players ORDER BY id")).all():
        key = _folded(name)
        if key not in people:
            people[key] = len(people) + 1
            connection.execute(
                sa.text("INSERT INTO people (id, name) VALUES (:id, :name)"), {"id": people[key], "name": name}
            )
        found[seat] = people[key]
    if connection.dialect.name == "postgresql" and people:
        connection.execute(sa.text("SELECT setval('people_id_seq', :last)"), {"last": len(people)})
    return found


def _folded(name: str) -> str:
    """A name as it was compared: whatever the case, the accents and the white space."""
    split = unicodedata.normalize("NFKD", name).casefold()
    return " ".join("".join(letter for letter in split if not unicodedata.combining(letter)).split())


def downgrade() -> None:
    """What one person alone met falls away: the program before knows only groups."""
    op.execute(sa.text("DELETE FROM exposures WHERE person_id IS NOT NULL"))
    name = "(SELECT people.name FROM people WHERE people.id = players.person_id)"
    if _is_sqlite():
        _make_anew("exposures", _MET, _MET_KEYS, _names(_MET))
        _index_exposures("section_id", "piece_id")
        _change_players((*_SEAT, _NAME, *_DAYS), add=_NAME, drop="person_id", filled=name)
    else:
        op.drop_column("exposures", "person_id")
        op.add_column("players", sa.Column("name", sa.Text(), nullable=False, server_default=""))
        op.execute(sa.text(f"UPDATE players SET name = {name}"))  # noqa: S608
        op.drop_column("players", "person_id")
        op.alter_column("players", "name", server_default=None)
    op.drop_table("people")
