"""What each piece asks of each ensemble, beside its level for it: minutes, skills and seats.

Until now a page opened studies to find them. The lines of the parts, which hold more now, are worked out anew
with them: when the pages are served, a piece is studied again, or an ensemble's sections change.

Revision 0015, after 0014.
"""

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.execute("DELETE FROM piece_lines")
    op.add_column("ensemble_levels", sa.Column("minutes", sa.Double(), nullable=True))
    for count in ("covered", "uncovered"):
        op.add_column("ensemble_levels", sa.Column(count, sa.Integer(), nullable=False, server_default="0"))
    for packed in ("skills", "seats"):
        op.add_column("ensemble_levels", sa.Column(packed, sa.LargeBinary(), nullable=True))


def downgrade() -> None:
    op.execute("DELETE FROM piece_lines")
    for column in ("seats", "skills", "uncovered", "covered", "minutes"):
        op.drop_column("ensemble_levels", column)
