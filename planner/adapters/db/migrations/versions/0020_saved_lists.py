"""Lists of pieces that the director keeps, by hand or as a search.

Revision 0020, after 0018.
"""

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0018"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "saved_lists",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("folded", sa.Text(), nullable=False),
        sa.Column("search", sa.JSON(none_as_null=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_saved_lists")),
        sa.UniqueConstraint("folded", name=op.f("uq_saved_lists_folded")),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "saved_list_pieces",
        sa.Column("list_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["list_id"], ["saved_lists.id"], name=op.f("fk_saved_list_pieces_list_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["piece_id"], ["pieces.id"], name=op.f("fk_saved_list_pieces_piece_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("list_id", "piece_id", name=op.f("pk_saved_list_pieces")),
    )
    op.create_index(op.f("ix_saved_list_pieces_piece_id"), "saved_list_pieces", ["piece_id"])
