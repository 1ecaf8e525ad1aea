"""Fingerprints of studies, pieces that hold the same music, and those that are kept apart.

Revision 0014, after 0013.
"""

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("profiles", sa.Column("fingerprint", sa.Text(), nullable=False, server_default=""))
    op.add_column(
        "profiles", sa.Column("is_compared", sa.Boolean(), nullable=False, server_default=sa.false())
    )
    op.create_index(op.f("ix_profiles_is_compared"), "profiles", ["is_compared"])
    _create_pairs(
        "likenesses",
        sa.Column("kin", sa.Text(), nullable=False),
        sa.Column("share", sa.Double(), nullable=False),
    )
    _create_pairs("kept_apart")


def _create_pairs(table: str, *columns: sa.Column) -> None:
    op.create_table(
        table,
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("other_id", sa.Integer(), nullable=False),
        *columns,
        *(
            sa.ForeignKeyConstraint(
                [column], ["pieces.id"], name=op.f(f"fk_{table}_{column}_pieces"), ondelete="CASCADE"
            )
            for column in ("piece_id", "other_id")
        ),
        sa.PrimaryKeyConstraint("piece_id", "other_id", name=op.f(f"pk_{table}")),
    )
    op.create_index(op.f(f"ix_{table}_other_id"), table, ["other_id"])
