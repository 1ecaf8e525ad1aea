"""Results that do not count for levels, and from what a section's starting level was worked out.

Until now every result counted, and every start was the director's word.

Revision 0009, after 0008.
"""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("results", sa.Column("counts", sa.Boolean(), nullable=False, server_default=sa.true()))
    op.add_column("sections", sa.Column("start_basis", sa.JSON(), nullable=False, server_default="{}"))


def downgrade() -> None:
    op.drop_column("sections", "start_basis")
    op.drop_column("results", "counts")
