"""Levels of parts and dimensions, and instruments of parts, as the director corrects them.

Revision 0003, after 0002.
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "level_corrections",
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("part", sa.Text(), nullable=False),
        sa.Column("dimension", sa.Text(), nullable=False),
        sa.Column("level", sa.Double(), nullable=False),
        sa.ForeignKeyConstraint(
            ["piece_id"], ["pieces.id"], name=op.f("fk_level_corrections_piece_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("piece_id", "part", "dimension", name=op.f("pk_level_corrections")),
    )
    op.create_table(
        "instrument_corrections",
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("part", sa.Text(), nullable=False),
        sa.Column("instrument", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["piece_id"], ["pieces.id"], name=op.f("fk_instrument_corrections_piece_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("piece_id", "part", name=op.f("pk_instrument_corrections")),
    )


def downgrade() -> None:
    op.drop_table("instrument_corrections")
    op.drop_table("level_corrections")
