"""What is settled of the library as a whole: what it is known by, and what was chosen for its files.

Revision 0026, after 0024.
"""

import secrets

import sqlalchemy as sa
from alembic import op

revision = "0026"
down_revision = "0024"
branch_labels = None
depends_on = None


def upgrade() -> None:
    settings = op.create_table(
        "settings",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_settings")),
    )
    op.bulk_insert(settings, [{"name": "library", "value": {"known_by": secrets.token_hex(8)}}])


def downgrade() -> None:
    op.drop_table("settings")
