"""What a piece was cut out of, so that a file of several movements is known when it is added again.

Revision 0008, after 0007.
"""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("source_files", sa.Column("whole_sha256", sa.Text(), nullable=False, server_default=""))
    op.add_column("source_files", sa.Column("whole_pieces", sa.Integer(), nullable=False, server_default="0"))
    op.create_index(op.f("ix_source_files_whole_sha256"), "source_files", ["whole_sha256"])


def downgrade() -> None:
    op.drop_index(op.f("ix_source_files_whole_sha256"), "source_files")
    op.drop_column("source_files", "whole_pieces")
    op.drop_column("source_files", "whole_sha256")
