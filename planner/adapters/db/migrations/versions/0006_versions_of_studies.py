"""The version of each study, and why a piece keeps an older one.

Studies stored before are of version 0, so that they are made again. Revision 0006, after 0005.
"""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "kept_studies",
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("study_version", sa.Integer(), nullable=False),
        sa.Column("slug", sa.Text(), nullable=False),
        sa.Column("detail", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["piece_id"], ["pieces.id"], name=op.f("fk_kept_studies_piece_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("piece_id", name=op.f("pk_kept_studies")),
    )
    op.add_column("profiles", sa.Column("study_version", sa.Integer(), nullable=False, server_default="0"))
    op.create_index(op.f("ix_profiles_study_version"), "profiles", ["study_version"])


def downgrade() -> None:
    op.drop_index(op.f("ix_profiles_study_version"), "profiles")
    op.drop_column("profiles", "study_version")
    op.drop_table("kept_studies")
