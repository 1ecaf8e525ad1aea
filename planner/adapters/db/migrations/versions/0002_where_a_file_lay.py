"""Where a file lay when it was added, so that a new export of it is known for what it is.

Revision 0002, after 0001.
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("source_files", sa.Column("path", sa.Text(), nullable=False, server_default=""))
    op.create_index(op.f("ix_source_files_path"), "source_files", ["path"])


def downgrade() -> None:
    op.drop_index(op.f("ix_source_files_path"), "source_files")
    op.drop_column("source_files", "path")
