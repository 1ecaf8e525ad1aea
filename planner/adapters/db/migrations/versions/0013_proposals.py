"""Plans that are proposed, what a plan was made from, printed guides, and files of the same piece.

Until now a new plan took the place of the old one at once.

Revision 0013, after 0012.
"""

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("plans", sa.Column("made_from", sa.Text(), nullable=False, server_default=""))
    op.create_table(
        "proposals",
        sa.Column("term_id", sa.Integer(), nullable=False),
        sa.Column("proposal", sa.JSON(), nullable=False),
        _cascading("proposals", "term_id", "terms"),
        sa.PrimaryKeyConstraint("term_id", name=op.f("pk_proposals")),
    )
    op.create_table(
        "printed_guides",
        sa.Column("term_id", sa.Integer(), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        _cascading("printed_guides", "term_id", "terms"),
        _cascading("printed_guides", "piece_id", "pieces"),
        sa.PrimaryKeyConstraint("term_id", "on_day", "piece_id", name=op.f("pk_printed_guides")),
    )
    op.create_index(op.f("ix_printed_guides_piece_id"), "printed_guides", ["piece_id"])
    op.create_table(
        "piece_links",
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("same_as", sa.Integer(), nullable=False),
        _cascading("piece_links", "piece_id", "pieces"),
        _cascading("piece_links", "same_as", "pieces"),
        sa.PrimaryKeyConstraint("piece_id", name=op.f("pk_piece_links")),
    )
    op.create_index(op.f("ix_piece_links_same_as"), "piece_links", ["same_as"])


def _cascading(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(
        [column], [f"{target}.id"], name=op.f(f"fk_{table}_{column}"), ondelete="CASCADE"
    )


def downgrade() -> None:
    for table in ("piece_links", "printed_guides", "proposals"):
        op.drop_table(table)
    op.drop_column("plans", "made_from")
