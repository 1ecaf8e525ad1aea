"""Accounts with what each may do, who is logged in, and tries that failed.

Until now the pages answered this machine alone, and whoever sat at it.

Revision 0016, after 0015.
"""

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "accounts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("folded", sa.Text(), nullable=False),
        sa.Column("access", sa.Text(), nullable=False),
        sa.Column("password_hash", sa.Text(), nullable=False),
        sa.Column("password_at", sa.DateTime(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_accounts")),
        sa.UniqueConstraint("folded", name=op.f("uq_accounts_folded")),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "account_sections",
        sa.Column("account_id", sa.Integer(), nullable=False),
        sa.Column("section_id", sa.Integer(), nullable=False),
        _cascading("account_sections", "account_id", "accounts"),
        _cascading("account_sections", "section_id", "sections"),
        sa.PrimaryKeyConstraint("account_id", "section_id", name=op.f("pk_account_sections")),
    )
    op.create_index(op.f("ix_account_sections_section_id"), "account_sections", ["section_id"])
    op.create_table(
        "sign_ins",
        sa.Column("token_sha256", sa.Text(), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=False),
        sa.Column("began_at", sa.DateTime(), nullable=False),
        sa.Column("seen_at", sa.DateTime(), nullable=False),
        _cascading("sign_ins", "account_id", "accounts"),
        sa.PrimaryKeyConstraint("token_sha256", name=op.f("pk_sign_ins")),
    )
    op.create_index(op.f("ix_sign_ins_account_id"), "sign_ins", ["account_id"])
    op.create_index(op.f("ix_sign_ins_seen_at"), "sign_ins", ["seen_at"])
    op.create_table(
        "failed_tries",
        sa.Column("key_sha256", sa.Text(), nullable=False),
        sa.Column("failures", sa.Integer(), nullable=False),
        sa.Column("last_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("key_sha256", name=op.f("pk_failed_tries")),
    )
    op.create_index(op.f("ix_failed_tries_last_at"), "failed_tries", ["last_at"])


def _cascading(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(
        [column], [f"{target}.id"], name=op.f(f"fk_{table}_{column}"), ondelete="CASCADE"
    )


def downgrade() -> None:
    for table in ("failed_tries", "sign_ins", "account_sections", "accounts"):
        op.drop_table(table)
