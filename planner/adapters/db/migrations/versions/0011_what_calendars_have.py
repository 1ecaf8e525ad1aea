"""What calendar files say of each reading day, and when reading begins on a day.

Until now nothing was kept of a calendar file, so a day that fell away stayed in the calendars that had it.

Revision 0011, after 0010.
"""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("terms", sa.Column("starts_at", sa.Time(), nullable=True))
    op.add_column("terms", sa.Column("time_zone", sa.Text(), nullable=False, server_default=""))
    op.create_table(
        "published_days",
        sa.Column("term_id", sa.Integer(), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("sequence", sa.Integer(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.DateTime(), nullable=False),
        sa.Column("is_cancelled", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["term_id"], ["terms.id"], name=op.f("fk_published_days_term_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("term_id", "on_day", name=op.f("pk_published_days")),
        sa.UniqueConstraint("uid", name=op.f("uq_published_days_uid")),
    )


def downgrade() -> None:
    op.drop_table("published_days")
    op.drop_column("terms", "time_zone")
    op.drop_column("terms", "starts_at")
