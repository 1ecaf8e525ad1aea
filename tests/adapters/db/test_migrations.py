"""Tables made from nothing, from the first revision, by two at once, and broken off half-way."""

import json
import sqlite3
import subprocess
import sys
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import text

from planner.adapters.db import migrate, open_library
from planner.adapters.db.engine import make_engine, url_of
from planner.adapters.db.tables import Base
from planner.core.difficulty import Dimension, LevelCorrection, Measured, Quantity
from planner.core.ensemble import Ensemble, StartKind
from planner.core.fact import named
from planner.core.piece import Piece, PieceQuery, SourceFile
from planner.core.profile import Contribution
from planner.core.term import Attendance, Plan, PlayerMark, Reason, ReasonKind, Slot, Term
from planner.errors import HomeError
from tests.fakes import make_profile, make_source

FIRST = "0001"
OLD_ROWS = {
    "ensembles": {"name": "Band", "kind": "band"},
    "source_files": {"id": 1, "sha256": "f" * 64, "name": "rondo.mxl", "size_bytes": 9, "suffix": ".mxl"},
    "pieces": {
        "id": 1, "source_id": 1, "title": "Rondo", "composer": "Ada Weir", "arranger": "", "rights": "CC0",
        "level": 3.0, "studied_level": 2.5, "home_key": "Bb major", "part_count": 14,
        "playing_seconds": 62.5, "added_on": "2026-09-03", "corrected": '["level"]',
        "search_text": "rondo ada weir", "sort_title": "rondo",
    },
}  # fmt: skip
"""Rows as the program of the first revision wrote them."""


def revisions():
    config = Config()
    config.set_main_option("script_location", str(Path(migrate.__file__).parent / "migrations"))
    return ScriptDirectory.from_config(config)


@pytest.fixture
def engine(tmp_path):
    engine = make_engine(url_of(tmp_path / "library.sqlite"))
    yield engine
    engine.dispose()


def shape(engine):
    """Every table and index as SQLite remembers it, white space folded."""
    with engine.connect() as connection:
        rows = connection.execute(text("SELECT type, name, sql FROM sqlite_master ORDER BY type, name"))
        return [(kind, name, " ".join((sql or "").split())) for kind, name, sql in rows]


def test_the_newest_revision_is_the_one_the_program_asks_for():
    assert revisions().get_current_head() == migrate.HEAD


def test_from_empty_the_tables_are_those_of_the_classes(engine):
    assert migrate.current_revision(engine) is None
    migrate.upgrade(engine)
    assert migrate.current_revision(engine) == migrate.HEAD
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []


def test_a_class_that_the_migrations_forget_is_noticed(engine):
    migrate.upgrade(engine)
    with engine.begin() as connection:
        connection.execute(text("DROP INDEX ix_pieces_home_key"))
        connection.execute(text("ALTER TABLE sections DROP COLUMN start_on"))
    with engine.connect() as connection:
        assert len(compare_metadata(MigrationContext.configure(connection), Base.metadata)) == 2


def test_from_the_first_revision_the_same_tables_come_out(engine, tmp_path):
    migrate.upgrade(engine, FIRST)
    with engine.begin() as connection:
        for table, values in OLD_ROWS.items():
            columns = ", ".join(f":{name}" for name in values)
            connection.execute(text(f"INSERT INTO {table} ({', '.join(values)}) VALUES ({columns})"), values)
    migrate.upgrade(engine)
    fresh = make_engine(url_of(tmp_path / "fresh.sqlite"))
    migrate.upgrade(fresh)
    assert shape(engine) == shape(fresh)
    fresh.dispose()
    with open_library(tmp_path / "library.sqlite") as library, library() as work:
        assert work.ensembles.find_by_name("Band") is not None
        (piece,), _ = work.pieces.list_pieces(PieceQuery(text="rondo"))
        assert piece == Piece(
            1, "Rondo", "Ada Weir", "", "CC0", 3.0, 2.5, None, "Bb major", (), 14, 62.5,
            SourceFile("f" * 64, "rondo.mxl", 9, ".mxl"), date(2026, 9, 3),
        )  # fmt: skip
        assert work.corrections.levels() == (LevelCorrection(1, 3.0),)
        work.pieces.update(replace(piece, tags=("kept",)))
        assert work.pieces.get(1).tags == ("kept",)


SENTENCES = (
    ("You put it on this day.", Reason(ReasonKind.PINNED)),
    ("Level 2.1; the term should stand at 2.0 by then.",
     Reason(ReasonKind.LEVEL, named(level=2.1, target=2.0))),
    ("Trains rhythm (dotted rhythms). It was named as a problem 3 times.",
     Reason(ReasonKind.TRAINS, named(named=3))),
    ("Trains key.", Reason(ReasonKind.TRAINS, named(named=0))),
    ("Features Horn, last featured on 25 November.",
     Reason(ReasonKind.FEATURES, section_id=1, last_on=date(2025, 11, 25))),
    ("Features Horn, for the first time this term.", Reason(ReasonKind.FEATURES, section_id=1)),
    ("Features Kazoo, for the first time this term.", None),
    ("Hardest for Horn: about 78 % of the bars right at first sight.",
     Reason(ReasonKind.HARDEST, named(share=0.78), section_id=1)),
    ("Takes 9.5 of the day's 10 minutes.", Reason(ReasonKind.TIME, named(minutes=9.5, available=10.0))),
    ("Bars 9 to 24a take 8 of the day's 10 minutes; the whole piece would not fit.",
     Reason(ReasonKind.PASSAGE, named(minutes=8.0, available=10.0), bars=("9", "24a"))),
    ("A sentence nobody wrote.", None),
)  # fmt: skip
"""Reasons as the program wrote them before revision 0005, and the values they are read as."""
OLD_PLAN = (
    "INSERT INTO ensembles (id, name, kind) VALUES (1, 'Band', 'band')",
    "INSERT INTO sections (id, ensemble_id, name, instrument, chair, size, level) "
    "VALUES (1, 1, 'Horn', 'horn-f', 1, 2, 2.0)",
    "INSERT INTO terms (id, ensemble_id, name, first_day, last_day, minutes, slots_a_day) "
    "VALUES (1, 1, 'Spring', '2026-01-06', '2026-05-26', 10, 1)",
    "INSERT INTO plans (term_id, cost, bound, is_proven) VALUES (1, 0, 0, 1)",
)


def test_who_was_there_becomes_a_state_and_a_mark_an_exact_decimal(engine, tmp_path):
    migrate.upgrade(engine, "0018")
    days = {"2026-01-06": (1, 87.5, "sharp"), "2026-01-13": (0, None, ""), "2026-01-20": (1, 100.0, "")}
    with engine.begin() as connection:
        for statement in OLD_PLAN:
            connection.execute(text(statement))
        connection.execute(text("INSERT INTO people (id, name) VALUES (1, 'Ida')"))
        connection.execute(text("INSERT INTO players (id, section_id, person_id) VALUES (1, 1, 1)"))
        for on, values in days.items():
            connection.execute(
                text("INSERT INTO player_marks VALUES (1, :on, :there, :mark, :note)"),
                dict(zip(("on", "there", "mark", "note"), (on, *values), strict=True)),
            )
    migrate.upgrade(engine)
    with open_library(tmp_path / "library.sqlite") as library, library() as work:
        assert work.results.marks(1) == (
            PlayerMark(1, date(2026, 1, 6), Attendance.PRESENT, Decimal("87.5"), note="sharp"),
            PlayerMark(1, date(2026, 1, 13), Attendance.ABSENT),
            PlayerMark(1, date(2026, 1, 20), Attendance.PRESENT, Decimal(100)),
        )


def test_sentences_of_old_plans_are_read_as_reasons(engine, tmp_path):
    migrate.upgrade(engine, "0004")
    rows = {**OLD_ROWS, "slots": {
        "term_id": 1, "on_day": "2026-01-06", "position": 0, "piece_id": 1, "focus": "rhythm",
        "minutes": 9.5, "is_pinned": 0, "reasons": json.dumps([sentence for sentence, _ in SENTENCES]),
    }}  # fmt: skip
    del rows["ensembles"]
    with engine.begin() as connection:
        for statement in OLD_PLAN:
            connection.execute(text(statement))
        for table, values in rows.items():
            columns = ", ".join(f":{name}" for name in values)
            connection.execute(text(f"INSERT INTO {table} ({', '.join(values)}) VALUES ({columns})"), values)
    migrate.upgrade(engine)
    with open_library(tmp_path / "library.sqlite") as library, library() as work:
        (slot,) = work.terms.plan(1).slots
    assert slot.reasons == tuple(reason for _, reason in SENTENCES if reason is not None)


def test_of_an_older_plan_what_cannot_be_read_any_more_is_left_out(tmp_path):
    with open_library(tmp_path / "library.sqlite") as library:
        with library() as work:
            piece = work.pieces.add(make_source(), make_profile(), date(2026, 1, 6))
            band = work.ensembles.add(Ensemble(0, "Band"))
            term = work.terms.add(Term(0, band, "Spring", date(2026, 1, 6), date(2026, 5, 26), (1,)))
            evidence = Contribution(
                Dimension.RHYTHM,
                2.0,
                0.1,
                (Measured(Quantity.METER_CHANGES, 3.0), Measured(Quantity.COMPASS, 9.0)),
            )
            trains = Reason(ReasonKind.TRAINS, named(named=0), evidence=evidence)
            slot = Slot(date(2026, 1, 6), 0, piece, "rhythm", reasons=(Reason(ReasonKind.PINNED), trains))
            work.terms.save_plan(Plan(term, (slot,)))
            work.commit()
        with sqlite3.connect(tmp_path / "library.sqlite") as connection:
            (reasons,) = connection.execute("SELECT reasons FROM slots").fetchone()
            assert str(Quantity.METER_CHANGES) in reasons
            older = reasons.replace(str(Quantity.METER_CHANGES), "stars on the cover")
            older = older.replace('"pinned"', '"the moon"')
            connection.execute("UPDATE slots SET reasons = ?", (older,))
        connection.close()
        with library() as work:
            (read,) = work.terms.plan(term).slots
    left = replace(evidence, evidence=evidence.evidence[1:])
    assert read.reasons == (replace(trains, evidence=left),)


def test_old_results_count_and_old_starts_are_the_directors_word(engine, tmp_path):
    migrate.upgrade(engine, "0008")
    rows = {**OLD_ROWS, "results": {
        "ensemble_id": 1, "section_id": 1, "piece_id": 1, "on_day": "2026-01-06", "first_share": 0.8,
        "problems": "[]", "note": "",
    }}  # fmt: skip
    del rows["ensembles"]
    with engine.begin() as connection:
        for statement in OLD_PLAN[:2]:
            connection.execute(text(statement))
        for table, values in rows.items():
            columns = ", ".join(f":{name}" for name in values)
            connection.execute(text(f"INSERT INTO {table} ({', '.join(values)}) VALUES ({columns})"), values)
    migrate.upgrade(engine)
    with open_library(tmp_path / "library.sqlite") as library, library() as work:
        (result,) = work.results.list_results()
        (horn,) = work.ensembles.get(1).sections
    assert result.counts
    assert horn.start_basis.kind == StartKind.WORD


def test_an_older_plan_is_read_by_the_whole_ensemble_and_its_term_has_days_like_any_other(engine, tmp_path):
    migrate.upgrade(engine, "0010")
    slot = {
        "term_id": 1, "on_day": "2026-01-06", "position": 0, "piece_id": 1, "focus": "rhythm",
        "featured_section_id": 1, "minutes": 9.5, "is_pinned": 0, "reasons": "[]",
    }  # fmt: skip
    old = {name: rows for name, rows in OLD_ROWS.items() if name != "ensembles"}
    with engine.begin() as connection:
        for statement in OLD_PLAN:
            connection.execute(text(statement))
        for table, values in {**old, "slots": slot}.items():
            columns = ", ".join(f":{name}" for name in values)
            connection.execute(text(f"INSERT INTO {table} ({', '.join(values)}) VALUES ({columns})"), values)
    migrate.upgrade(engine)
    with open_library(tmp_path / "library.sqlite") as library, library() as work:
        assert work.terms.plan(1).slots == (Slot(date(2026, 1, 6), 0, 1, "rhythm", 1, 9.5),)
        term = work.terms.get(1)
        assert (term.aims, term.concerts, term.shapes, term.announced_days) == ((), (), (), 14)


def test_up_twice_changes_nothing(engine):
    migrate.upgrade(engine)
    before = shape(engine)
    migrate.upgrade(engine)
    assert shape(engine) == before


def test_a_migration_broken_off_leaves_nothing(engine, monkeypatch):
    from alembic import op

    made = []
    create = op.create_table

    def create_five(*args, **options):
        if len(made) == 5:
            raise KeyboardInterrupt
        made.append(args[0])
        return create(*args, **options)

    monkeypatch.setattr(op, "create_table", create_five)
    with pytest.raises(KeyboardInterrupt):
        migrate.upgrade(engine)
    assert shape(engine) == []
    monkeypatch.undo()
    migrate.upgrade(engine)
    assert migrate.current_revision(engine) == migrate.HEAD


OPEN = """
import sys, time
import alembic.command
from planner.adapters.db import open_library
print("ready", flush=True)
sys.stdin.readline()
open_library(sys.argv[1]).close()
"""


def test_two_commands_may_make_the_same_home_at_once(tmp_path):
    command = [sys.executable, "-c", OPEN, str(tmp_path / "library.sqlite")]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    runs = [subprocess.Popen(command, **pipes) for _ in range(3)]
    assert [run.stdout.readline() for run in runs] == ["ready\n"] * 3
    for run in runs:
        run.stdin.write("go\n")
        run.stdin.flush()
    ends = [(*run.communicate(timeout=600), run.returncode) for run in runs]
    assert ends == [("", "", 0)] * 3


def test_a_library_of_a_newer_program_is_refused_in_one_sentence(tmp_path):
    path = tmp_path / "library.sqlite"
    open_library(path).close()
    with sqlite3.connect(path) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.close()
    with pytest.raises(HomeError, match="was made by a newer version of this program"):
        open_library(path)


def test_a_database_of_another_program_is_refused_and_left_alone(tmp_path):
    path = tmp_path / "library.sqlite"
    with sqlite3.connect(path) as connection:
        connection.execute("CREATE TABLE recipes (id)")
    connection.close()
    with pytest.raises(HomeError, match="is a database of another program"):
        open_library(path)
    with sqlite3.connect(path) as connection:
        assert [name for (name,) in connection.execute("SELECT name FROM sqlite_master")] == ["recipes"]
    connection.close()
