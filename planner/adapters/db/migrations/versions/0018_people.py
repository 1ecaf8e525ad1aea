"""People apart from their seats: one may sit in several sections and ensembles, leave and come back.

Until now each seat had a name of its own, and seats of the same name in two ensembles were taken for one
person; so they stay one person. A note that named a player in what a section has met is emptied: seats tell
it now.

Revision 0018, after 0013.
"""

import unicodedata
from collections.abc import Mapping

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "people",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_people")),
        sqlite_autoincrement=True,
    )
    seats = _people_of_seats()
    with op.batch_alter_table("players", table_kwargs={"sqlite_autoincrement": True}) as batch:
        batch.add_column(sa.Column("person_id", sa.Integer(), nullable=True))
    for seat, person in seats.items():
        op.get_bind().execute(
            sa.text("UPDATE players SET person_id = :person WHERE id = :seat"), {"person": person, "seat": seat}
        )
    with op.batch_alter_table("players", table_kwargs={"sqlite_autoincrement": True}) as batch:
        batch.alter_column("person_id", existing_type=sa.Integer(), nullable=False)
        batch.drop_column("name")
        batch.create_foreign_key(op.f("fk_players_person_id"), "people", ["person_id"], ["id"])
        batch.create_index(op.f("ix_players_person_id"), ["person_id"])
    with op.batch_alter_table("exposures", table_kwargs={"sqlite_autoincrement": True}) as batch:
        batch.add_column(sa.Column("person_id", sa.Integer(), nullable=True))
        batch.create_foreign_key(op.f("fk_exposures_person_id"), "people", ["person_id"], ["id"])
        batch.create_index(op.f("ix_exposures_person_id"), ["person_id"])
    op.execute(sa.text("UPDATE exposures SET note = '' WHERE note LIKE '% met it in %'"))


def _people_of_seats() -> Mapping[int, int]:
    """By seat, the person who sits there, newly stored; the same name is the same person."""
    connection = op.get_bind()
    people: dict[str, int] = {}
    found: dict[int, int] = {}
    for seat, name in connection.execute(sa.text("SELECT id, name FROM players ORDER BY id")).all():
        key = _folded(name)
        if key not in people:
            people[key] = len(people) + 1
            connection.execute(
                sa.text("INSERT INTO people (id, name) VALUES (:id, :name)"), {"id": people[key], "name": name}
            )
        found[seat] = people[key]
    if connection.dialect.name == "postgresql" and people:
        connection.execute(sa.text("SELECT setval('people_id_seq', :last)"), {"last": len(people)})
    return found


def _folded(name: str) -> str:
    """A name as it was compared: whatever the case, the accents and the white space."""
    split = unicodedata.normalize("NFKD", name).casefold()
    return " ".join("".join(letter for letter in split if not unicodedata.combining(letter)).split())


def downgrade() -> None:
    """What one person alone met falls away: the program before knows only groups."""
    op.execute(sa.text("DELETE FROM exposures WHERE person_id IS NOT NULL"))
    with op.batch_alter_table("exposures", table_kwargs={"sqlite_autoincrement": True}) as batch:
        batch.drop_index(op.f("ix_exposures_person_id"))
        batch.drop_constraint(op.f("fk_exposures_person_id"), type_="foreignkey")
        batch.drop_column("person_id")
    with op.batch_alter_table("players", table_kwargs={"sqlite_autoincrement": True}) as batch:
        batch.add_column(sa.Column("name", sa.Text(), nullable=True))
    op.execute(
        sa.text("UPDATE players SET name = (SELECT people.name FROM people WHERE people.id = players.person_id)")
    )
    with op.batch_alter_table("players", table_kwargs={"sqlite_autoincrement": True}) as batch:
        batch.drop_index(op.f("ix_players_person_id"))
        batch.drop_constraint(op.f("fk_players_person_id"), type_="foreignkey")
        batch.drop_column("person_id")
        batch.alter_column("name", existing_type=sa.Text(), nullable=False)
    op.drop_table("people")
