"""Readings that fell apart, and which hard bars went wrong.

Until now neither was asked for: no reading fell apart, and no bars are named.

Revision 0024, after 0022.
"""

import sqlalchemy as sa
from alembic import op

revision = "0024"
down_revision = "0022"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("results", sa.Column("fell_apart", sa.Boolean(), nullable=False, server_default=sa.false()))
    op.add_column("results", sa.Column("wrong_bars", sa.JSON(), nullable=False, server_default="[]"))


def downgrade() -> None:
    op.drop_column("results", "wrong_bars")
    op.drop_column("results", "fell_apart")
