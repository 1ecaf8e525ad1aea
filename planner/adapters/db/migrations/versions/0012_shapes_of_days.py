"""Days that differ from the others of their term, stations, concerts, aims between, and copies of parts.

Until now every day of a term was alike and everyone read together; a term keeps the usual horizon of
announced days.

Revision 0012, after 0011.
"""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("terms", sa.Column("announced_days", sa.Integer(), nullable=False, server_default="14"))
    op.create_table(
        "term_aims",
        sa.Column("term_id", sa.Integer(), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("level", sa.Double(), nullable=False),
        _of_a_term("term_aims"),
        sa.PrimaryKeyConstraint("term_id", "on_day", name=op.f("pk_term_aims")),
    )
    op.create_table(
        "term_concerts",
        sa.Column("term_id", sa.Integer(), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        _of_a_term("term_concerts"),
        sa.PrimaryKeyConstraint("term_id", "on_day", name=op.f("pk_term_concerts")),
    )
    _create_days()
    op.create_table(
        "copies",
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("part", sa.Text(), nullable=False),
        sa.Column("copies", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["piece_id"], ["pieces.id"], name=op.f("fk_copies_piece_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("piece_id", "part", name=op.f("pk_copies")),
    )
    _add_stations_to_slots()


def _create_days() -> None:
    op.create_table(
        "day_shapes",
        sa.Column("term_id", sa.Integer(), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("minutes", sa.Double(), nullable=True),
        sa.Column("slots", sa.Integer(), nullable=True),
        _of_a_term("day_shapes"),
        sa.PrimaryKeyConstraint("term_id", "on_day", name=op.f("pk_day_shapes")),
    )
    op.create_table(
        "stations",
        sa.Column("term_id", sa.Integer(), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        _of_a_day("stations"),
        sa.PrimaryKeyConstraint("term_id", "on_day", "position", name=op.f("pk_stations")),
    )
    op.create_table(
        "station_sections",
        sa.Column("term_id", sa.Integer(), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("section_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["term_id", "on_day", "position"],
            ["stations.term_id", "stations.on_day", "stations.position"],
            name=op.f("fk_station_sections_term_id"),
            ondelete="CASCADE",
        ),
        _of_a_section("station_sections"),
        sa.PrimaryKeyConstraint("term_id", "on_day", "section_id", name=op.f("pk_station_sections")),
    )
    op.create_index(op.f("ix_station_sections_section_id"), "station_sections", ["section_id"])
    op.create_table(
        "absent_sections",
        sa.Column("term_id", sa.Integer(), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("section_id", sa.Integer(), nullable=False),
        _of_a_day("absent_sections"),
        _of_a_section("absent_sections"),
        sa.PrimaryKeyConstraint("term_id", "on_day", "section_id", name=op.f("pk_absent_sections")),
    )
    op.create_index(op.f("ix_absent_sections_section_id"), "absent_sections", ["section_id"])


def _of_a_term(table: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(
        ["term_id"], ["terms.id"], name=op.f(f"fk_{table}_term_id"), ondelete="CASCADE"
    )


def _of_a_day(table: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(
        ["term_id", "on_day"],
        ["day_shapes.term_id", "day_shapes.on_day"],
        name=op.f(f"fk_{table}_term_id"),
        ondelete="CASCADE",
    )


def _of_a_section(table: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(
        ["section_id"], ["sections.id"], name=op.f(f"fk_{table}_section_id"), ondelete="CASCADE"
    )


_STATION = sa.Column("station", sa.Integer(), nullable=False, server_default="-1")
_KEY = ["term_id", "on_day", "position", "station"]
_INDEXES = {"ix_slots_piece_id": "piece_id", "ix_slots_featured_section_id": "featured_section_id"}


def _add_stations_to_slots() -> None:
    """The station joins the key; SQLite can only do that by making the table anew."""
    if op.get_bind().dialect.name != "sqlite":
        op.add_column("slots", _STATION.copy())
        op.drop_constraint("pk_slots", "slots", type_="primary")
        op.create_primary_key("pk_slots", "slots", _KEY)
        return
    _make_anew([*_COLUMNS[:3], _STATION, *_COLUMNS[3:]], _KEY)


_COLUMNS = [
    sa.Column("term_id", sa.Integer(), nullable=False),
    sa.Column("on_day", sa.Date(), nullable=False),
    sa.Column("position", sa.Integer(), nullable=False),
    sa.Column("piece_id", sa.Integer(), nullable=False),
    sa.Column("focus", sa.Text(), nullable=False),
    sa.Column("featured_section_id", sa.Integer(), nullable=True),
    sa.Column("minutes", sa.Double(), nullable=False),
    sa.Column("is_pinned", sa.Boolean(), nullable=False),
    sa.Column("reasons", sa.JSON(), nullable=False),
]
"""Columns of the slots of a plan as they were before."""


def _make_anew(columns: list[sa.Column[Any]], key: list[str]) -> None:
    """The table of slots with these columns and what it held."""
    op.create_table(
        "slots_anew",
        *(column.copy() for column in columns),
        sa.PrimaryKeyConstraint(*key, name=op.f("pk_slots")),
        sa.ForeignKeyConstraint(
            ["term_id"], ["plans.term_id"], name=op.f("fk_slots_term_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name=op.f("fk_slots_piece_id")),
        sa.ForeignKeyConstraint(
            ["featured_section_id"],
            ["sections.id"],
            name=op.f("fk_slots_featured_section_id"),
            ondelete="SET NULL",
        ),
    )
    kept = ", ".join(column.name for column in _COLUMNS)
    op.execute(sa.text(f"INSERT INTO slots_anew ({kept}) SELECT {kept} FROM slots"))  # noqa: S608
    op.drop_table("slots")
    op.rename_table("slots_anew", "slots")
    for name, column in _INDEXES.items():
        op.create_index(op.f(name), "slots", [column])


def downgrade() -> None:
    """What stations read falls away: the program before knows no rooms."""
    op.execute(sa.text("DELETE FROM slots WHERE station <> -1"))
    op.execute(sa.text("DELETE FROM wishes WHERE kind = 'again'"))
    if op.get_bind().dialect.name == "sqlite":
        _make_anew(_COLUMNS, _KEY[:3])
    else:
        op.drop_constraint("pk_slots", "slots", type_="primary")
        op.drop_column("slots", "station")
        op.create_primary_key("pk_slots", "slots", _KEY[:3])
    for table in (
        "copies", "absent_sections", "station_sections", "stations", "day_shapes", "term_concerts",
        "term_aims",
    ):  # fmt: skip
        op.drop_table(table)
    op.drop_column("terms", "announced_days")
