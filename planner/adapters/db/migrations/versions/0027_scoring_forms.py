"""The scoring form of a term, and the points that were given by it.

Revision 0027, after 0026.
"""

import sqlalchemy as sa
from alembic import op

revision = "0027"
down_revision = "0026"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("terms", sa.Column("scoring_form", sa.JSON(), nullable=True))
    op.create_table(
        "form_points",
        sa.Column("ensemble_id", sa.Integer(), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("for_section", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("section_id", sa.Integer(), nullable=True),
        sa.Column("points", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["ensemble_id"], ["ensembles.id"], name=op.f("fk_form_points_ensemble_id")
        ),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name=op.f("fk_form_points_piece_id")),
        sa.ForeignKeyConstraint(["section_id"], ["sections.id"], name=op.f("fk_form_points_section_id")),
        sa.PrimaryKeyConstraint(
            "ensemble_id", "on_day", "piece_id", "for_section", name=op.f("pk_form_points")
        ),
    )
    for column in ("piece_id", "section_id"):
        op.create_index(op.f(f"ix_form_points_{column}"), "form_points", [column], unique=False)


def downgrade() -> None:
    """Forms and points are lost."""
    op.drop_table("form_points")
    op.drop_column("terms", "scoring_form")
