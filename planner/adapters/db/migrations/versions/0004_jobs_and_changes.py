"""Long work, and the journal of changes.

Revision 0004, after 0003.
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "jobs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("open_kind", sa.Text(), nullable=True),
        sa.Column("request", sa.JSON(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("door", sa.Text(), nullable=False),
        sa.Column("account", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("done", sa.Integer(), nullable=False),
        sa.Column("total", sa.Integer(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("result", sa.JSON(), nullable=False),
        sa.Column("is_stop_asked", sa.Boolean(), nullable=False),
        sa.Column("started_at", sa.DateTime(), nullable=True),
        sa.Column("finished_at", sa.DateTime(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_jobs")),
        sa.UniqueConstraint("open_kind", name=op.f("uq_jobs_open_kind")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_jobs_state"), "jobs", ["state"])
    op.create_table(
        "job_refusals",
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("slug", sa.Text(), nullable=False),
        sa.Column("detail", sa.Text(), nullable=False),
        sa.Column("subject_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["job_id"], ["jobs.id"], name=op.f("fk_job_refusals_job_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("job_id", "position", name=op.f("pk_job_refusals")),
    )
    op.create_table(
        "changes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("subject_kind", sa.Text(), nullable=False),
        sa.Column("subject_id", sa.Integer(), nullable=False),
        sa.Column("subject_name", sa.Text(), nullable=False),
        sa.Column("subject_within", sa.JSON(), nullable=False),
        sa.Column("before", sa.JSON(), nullable=False),
        sa.Column("after", sa.JSON(), nullable=False),
        sa.Column("door", sa.Text(), nullable=False),
        sa.Column("account", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("undoes", sa.Integer(), nullable=True),
        sa.Column("undone_by", sa.Integer(), nullable=True),
        sa.Column("job_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["undoes"], ["changes.id"], name=op.f("fk_changes_undoes")),
        sa.ForeignKeyConstraint(["undone_by"], ["changes.id"], name=op.f("fk_changes_undone_by")),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_changes_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_changes")),
        sqlite_autoincrement=True,
    )
    op.create_index(
        op.f("ix_changes_subject_kind_subject_id"), "changes", ["subject_kind", "subject_id"]
    )
    for column in ("undoes", "undone_by", "job_id"):
        op.create_index(op.f(f"ix_changes_{column}"), "changes", [column])


def downgrade() -> None:
    for table in ("changes", "job_refusals", "jobs"):
        op.drop_table(table)
