"""The level of each piece for each ensemble, and of each piece the lines from which it is worked out.

Until now a list stood by the level of the whole score, which stands in until both tables are filled: when
the pages are served, a piece is studied again, or an ensemble's sections change.

Revision 0010, after 0009.
"""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "piece_lines",
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("lines", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["piece_id"], ["pieces.id"], name=op.f("fk_piece_lines_piece_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("piece_id", name=op.f("pk_piece_lines")),
    )
    op.create_table(
        "ensemble_levels",
        sa.Column("ensemble_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("level", sa.Double(), nullable=True),
        sa.ForeignKeyConstraint(
            ["ensemble_id"], ["ensembles.id"], name=op.f("fk_ensemble_levels_ensemble_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["piece_id"], ["pieces.id"], name=op.f("fk_ensemble_levels_piece_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("ensemble_id", "piece_id", name=op.f("pk_ensemble_levels")),
    )
    op.create_index(op.f("ix_ensemble_levels_piece_id"), "ensemble_levels", ["piece_id"])


def downgrade() -> None:
    op.drop_table("ensemble_levels")
    op.drop_table("piece_lines")
