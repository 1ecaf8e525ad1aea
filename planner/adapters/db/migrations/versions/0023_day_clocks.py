"""The clock of a reading day, and the published procedures by which music is studied on some days.

Revision 0023, after 0022.
"""

import sqlalchemy as sa
from alembic import op

revision = "0023"
down_revision = "0022"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("terms", sa.Column("procedures", sa.JSON(), nullable=False, server_default="{}"))
    op.create_table(
        "day_clocks",
        sa.Column("term_id", sa.Integer(), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("step", sa.Text(), nullable=False),
        sa.Column("left_s", sa.Double(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("is_running", sa.Boolean(), nullable=False),
        sa.Column("extended_s", sa.Integer(), nullable=False),
        sa.Column("presses", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["term_id"], ["terms.id"], name=op.f("fk_day_clocks_term_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("term_id", "on_day", name=op.f("pk_day_clocks")),
    )


def downgrade() -> None:
    """Where a day stood, and by which procedure it is studied, is lost."""
    op.drop_table("day_clocks")
    op.drop_column("terms", "procedures")
