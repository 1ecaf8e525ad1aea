"""The first library: pieces, studies, ensembles, terms, plans, results.

Revision 0001, the first.
"""

import sqlalchemy as sa
from alembic import op


revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "ensembles",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_ensembles")),
        sa.UniqueConstraint("name", name=op.f("uq_ensembles_name")),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "source_files",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("size_bytes", sa.Integer(), nullable=False),
        sa.Column("suffix", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_source_files")),
        sa.UniqueConstraint("sha256", name=op.f("uq_source_files_sha256")),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "pieces",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("source_id", sa.Integer(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("composer", sa.Text(), nullable=False),
        sa.Column("arranger", sa.Text(), nullable=False),
        sa.Column("rights", sa.Text(), nullable=False),
        sa.Column("level", sa.Double(), nullable=True),
        sa.Column("studied_level", sa.Double(), nullable=True),
        sa.Column("published_grade", sa.Double(), nullable=True),
        sa.Column("home_key", sa.Text(), nullable=False),
        sa.Column("part_count", sa.Integer(), nullable=False),
        sa.Column("playing_seconds", sa.Double(), nullable=False),
        sa.Column("added_on", sa.Date(), nullable=False),
        sa.Column("corrected", sa.JSON(), nullable=False),
        sa.Column("search_text", sa.Text(), nullable=False),
        sa.Column("sort_title", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["source_id"], ["source_files.id"], name=op.f("fk_pieces_source_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pieces")),
        sa.UniqueConstraint("source_id", name=op.f("uq_pieces_source_id")),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("pieces", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_pieces_added_on"), ["added_on"], unique=False)
        batch_op.create_index(batch_op.f("ix_pieces_home_key"), ["home_key"], unique=False)
        batch_op.create_index(batch_op.f("ix_pieces_level_sort_title"), ["level", "sort_title"], unique=False)
        batch_op.create_index(batch_op.f("ix_pieces_sort_title_id"), ["sort_title", "id"], unique=False)

    op.create_table(
        "sections",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("ensemble_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("instrument", sa.Text(), nullable=False),
        sa.Column("chair", sa.Integer(), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("level", sa.Double(), nullable=False),
        sa.Column("level_error", sa.Double(), nullable=True),
        sa.Column("start_level", sa.Double(), nullable=True),
        sa.Column("start_error", sa.Double(), nullable=True),
        sa.Column("start_on", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(["ensemble_id"], ["ensembles.id"], name=op.f("fk_sections_ensemble_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sections")),
        sa.UniqueConstraint("ensemble_id", "name", name=op.f("uq_sections_ensemble_id_name")),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "terms",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("ensemble_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("first_day", sa.Date(), nullable=False),
        sa.Column("last_day", sa.Date(), nullable=False),
        sa.Column("minutes", sa.Double(), nullable=False),
        sa.Column("slots_a_day", sa.Integer(), nullable=False),
        sa.Column("start_level", sa.Double(), nullable=True),
        sa.Column("target_level", sa.Double(), nullable=True),
        sa.ForeignKeyConstraint(["ensemble_id"], ["ensembles.id"], name=op.f("fk_terms_ensemble_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_terms")),
        sa.UniqueConstraint("ensemble_id", "name", name=op.f("uq_terms_ensemble_id_name")),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "exposures",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("ensemble_id", sa.Integer(), nullable=False),
        sa.Column("section_id", sa.Integer(), nullable=True),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("how", sa.Text(), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["ensemble_id"], ["ensembles.id"], name=op.f("fk_exposures_ensemble_id")),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name=op.f("fk_exposures_piece_id")),
        sa.ForeignKeyConstraint(["section_id"], ["sections.id"], name=op.f("fk_exposures_section_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_exposures")),
    )
    with op.batch_alter_table("exposures", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_exposures_ensemble_id_piece_id"), ["ensemble_id", "piece_id"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_exposures_piece_id"), ["piece_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_exposures_section_id"), ["section_id"], unique=False)

    op.create_table(
        "piece_meters",
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("meter", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["piece_id"], ["pieces.id"], name=op.f("fk_piece_meters_piece_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("piece_id", "position", name=op.f("pk_piece_meters")),
    )
    with op.batch_alter_table("piece_meters", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_piece_meters_meter_piece_id"), ["meter", "piece_id"], unique=False)

    op.create_table(
        "piece_tags",
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("tag", sa.Text(), nullable=False),
        sa.Column("folded", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["piece_id"], ["pieces.id"], name=op.f("fk_piece_tags_piece_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("piece_id", "position", name=op.f("pk_piece_tags")),
    )
    with op.batch_alter_table("piece_tags", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_piece_tags_folded_piece_id"), ["folded", "piece_id"], unique=False)

    op.create_table(
        "plans",
        sa.Column("term_id", sa.Integer(), nullable=False),
        sa.Column("cost", sa.Double(), nullable=False),
        sa.Column("bound", sa.Double(), nullable=False),
        sa.Column("is_proven", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["term_id"], ["terms.id"], name=op.f("fk_plans_term_id"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("term_id", name=op.f("pk_plans")),
    )
    op.create_table(
        "players",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("section_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("joined", sa.Date(), nullable=True),
        sa.Column("gone_on", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(["section_id"], ["sections.id"], name=op.f("fk_players_section_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_players")),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("players", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_players_section_id"), ["section_id"], unique=False)

    op.create_table(
        "profiles",
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("whole", sa.LargeBinary(), nullable=False),
        sa.Column("outline", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(
            ["piece_id"], ["pieces.id"], name=op.f("fk_profiles_piece_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("piece_id", name=op.f("pk_profiles")),
    )
    op.create_table(
        "results",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("ensemble_id", sa.Integer(), nullable=False),
        sa.Column("section_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("first_share", sa.Double(), nullable=False),
        sa.Column("second_share", sa.Double(), nullable=True),
        sa.Column("tempo_bpm", sa.Double(), nullable=True),
        sa.Column("problems", sa.JSON(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["ensemble_id"], ["ensembles.id"], name=op.f("fk_results_ensemble_id")),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name=op.f("fk_results_piece_id")),
        sa.ForeignKeyConstraint(["section_id"], ["sections.id"], name=op.f("fk_results_section_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_results")),
        sa.UniqueConstraint(
            "section_id", "piece_id", "on_day", name=op.f("uq_results_section_id_piece_id_on_day")
        ),
    )
    with op.batch_alter_table("results", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_results_ensemble_id_on_day"), ["ensemble_id", "on_day"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_results_piece_id"), ["piece_id"], unique=False)

    op.create_table(
        "term_days_off",
        sa.Column("term_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.ForeignKeyConstraint(
            ["term_id"], ["terms.id"], name=op.f("fk_term_days_off_term_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("term_id", "position", name=op.f("pk_term_days_off")),
    )
    op.create_table(
        "term_weekdays",
        sa.Column("term_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("weekday", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["term_id"], ["terms.id"], name=op.f("fk_term_weekdays_term_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("term_id", "position", name=op.f("pk_term_weekdays")),
    )
    op.create_table(
        "wishes",
        sa.Column("term_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(
            ["piece_id"], ["pieces.id"], name=op.f("fk_wishes_piece_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["term_id"], ["terms.id"], name=op.f("fk_wishes_term_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("term_id", "position", name=op.f("pk_wishes")),
    )
    with op.batch_alter_table("wishes", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_wishes_piece_id"), ["piece_id"], unique=False)

    op.create_table(
        "player_marks",
        sa.Column("player_id", sa.Integer(), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("is_present", sa.Boolean(), nullable=False),
        sa.Column("mark", sa.Double(), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["player_id"], ["players.id"], name=op.f("fk_player_marks_player_id")),
        sa.PrimaryKeyConstraint("player_id", "on_day", name=op.f("pk_player_marks")),
    )
    op.create_table(
        "slots",
        sa.Column("term_id", sa.Integer(), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("focus", sa.Text(), nullable=False),
        sa.Column("featured_section_id", sa.Integer(), nullable=True),
        sa.Column("minutes", sa.Double(), nullable=False),
        sa.Column("is_pinned", sa.Boolean(), nullable=False),
        sa.Column("reasons", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["featured_section_id"],
            ["sections.id"],
            name=op.f("fk_slots_featured_section_id"),
            ondelete="SET NULL",
        ),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name=op.f("fk_slots_piece_id")),
        sa.ForeignKeyConstraint(
            ["term_id"], ["plans.term_id"], name=op.f("fk_slots_term_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("term_id", "on_day", "position", name=op.f("pk_slots")),
    )
    with op.batch_alter_table("slots", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_slots_featured_section_id"), ["featured_section_id"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_slots_piece_id"), ["piece_id"], unique=False)


def downgrade() -> None:
    with op.batch_alter_table("slots", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_slots_piece_id"))
        batch_op.drop_index(batch_op.f("ix_slots_featured_section_id"))

    op.drop_table("slots")
    op.drop_table("player_marks")
    with op.batch_alter_table("wishes", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_wishes_piece_id"))

    op.drop_table("wishes")
    op.drop_table("term_weekdays")
    op.drop_table("term_days_off")
    with op.batch_alter_table("results", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_results_piece_id"))
        batch_op.drop_index(batch_op.f("ix_results_ensemble_id_on_day"))

    op.drop_table("results")
    op.drop_table("profiles")
    with op.batch_alter_table("players", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_players_section_id"))

    op.drop_table("players")
    op.drop_table("plans")
    with op.batch_alter_table("piece_tags", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_piece_tags_folded_piece_id"))

    op.drop_table("piece_tags")
    with op.batch_alter_table("piece_meters", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_piece_meters_meter_piece_id"))

    op.drop_table("piece_meters")
    with op.batch_alter_table("exposures", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_exposures_section_id"))
        batch_op.drop_index(batch_op.f("ix_exposures_piece_id"))
        batch_op.drop_index(batch_op.f("ix_exposures_ensemble_id_piece_id"))

    op.drop_table("exposures")
    op.drop_table("terms")
    op.drop_table("sections")
    with op.batch_alter_table("pieces", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_pieces_sort_title_id"))
        batch_op.drop_index(batch_op.f("ix_pieces_level_sort_title"))
        batch_op.drop_index(batch_op.f("ix_pieces_home_key"))
        batch_op.drop_index(batch_op.f("ix_pieces_added_on"))

    op.drop_table("pieces")
    op.drop_table("source_files")
    op.drop_table("ensembles")
