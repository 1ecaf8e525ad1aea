"""Attendance in four states, own marks as exact decimals, make-ups; how the marks of a term are worked out.

Until now a player was there or not, and a mark was a binary number. Who was there becomes present, who was not
becomes absent; a mark becomes the shortest decimal that it was shown as.

Revision 0022, after 0020.
"""

from decimal import Decimal

import sqlalchemy as sa
from alembic import op

revision = "0022"
down_revision = "0020"
branch_labels = None
depends_on = None

_KEY = (sa.Column("player_id", sa.Integer(), nullable=False), sa.Column("on_day", sa.Date(), nullable=False))
_NOTE = sa.Column("note", sa.Text(), nullable=False)
_NEW = (
    sa.Column("attendance", sa.Text(), nullable=True),
    sa.Column("mark", sa.Text(), nullable=True),
    sa.Column("made_up_on", sa.Date(), nullable=True),
)
_OLD = (
    sa.Column("is_present", sa.Boolean(), nullable=False),
    sa.Column("mark", sa.Double(), nullable=True),
)


def upgrade() -> None:
    op.add_column("terms", sa.Column("mark_scheme", sa.JSON(), nullable=False, server_default="{}"))
    rows = _rows(_OLD)
    _make_anew(
        _NEW,
        [
            {
                **_kept(row),
                "attendance": "present" if row["is_present"] else "absent",
                "mark": None if row["mark"] is None else _decimal(row["mark"]),
                "made_up_on": None,
            }
            for row in rows
        ],
    )


def downgrade() -> None:
    """Late becomes present; excused, absent; nobody's word for it, absent. Make-ups are lost."""
    op.drop_column("terms", "mark_scheme")
    rows = _rows(_NEW)
    _make_anew(
        _OLD,
        [
            {
                **_kept(row),
                "is_present": row["attendance"] in ("present", "late"),
                "mark": None if row["mark"] is None else float(row["mark"]),
            }
            for row in rows
        ],
    )


def _decimal(mark: float) -> str:
    """The shortest decimal of a binary number, without an exponent.

    Example:
        >>> _decimal(95.0), _decimal(87.5)
        ('95', '87.5')
    """
    text = f"{Decimal(repr(mark)):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _rows(columns: tuple[sa.Column, ...]) -> list[sa.RowMapping]:  # type: ignore[type-arg]
    table = sa.table("player_marks", *(sa.column(c.name, c.type) for c in (*_KEY, *columns, _NOTE)))
    return list(op.get_bind().execute(sa.select(table)).mappings())


def _kept(row: sa.RowMapping) -> dict[str, object]:
    return {name: row[name] for name in ("player_id", "on_day", "note")}


def _make_anew(columns: tuple[sa.Column, ...], rows: list[dict[str, object]]) -> None:  # type: ignore[type-arg]
    op.drop_table("player_marks")
    table = op.create_table(
        "player_marks",
        *(column.copy() for column in (*_KEY, *columns, _NOTE)),
        sa.ForeignKeyConstraint(["player_id"], ["players.id"], name=op.f("fk_player_marks_player_id")),
        sa.PrimaryKeyConstraint("player_id", "on_day", name=op.f("pk_player_marks")),
    )
    if rows:
        op.bulk_insert(table, rows)
