"""Where a piece lies on the shelf, why it may be played, remarks, and what is entered of a piece on paper.

Revision 0017, after 0016.
"""

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None

_WORDS = ("rights_reason", "shelf", "remarks")
_LISTS = ("keys", "time_signatures", "parts")
_NUMBERS = ("tempo", "minutes")


def upgrade() -> None:
    for name in _WORDS:
        op.add_column("pieces", sa.Column(name, sa.Text(), nullable=False, server_default=""))
    for name in _LISTS:
        op.add_column("pieces", sa.Column(name, sa.JSON(), nullable=False, server_default="[]"))
    for name in _NUMBERS:
        op.add_column("pieces", sa.Column(name, sa.Double(), nullable=True))


def downgrade() -> None:
    for name in (*_NUMBERS, *_LISTS, *_WORDS):
        op.drop_column("pieces", name)
