"""The director's level of a whole piece stands among the other corrections of levels.

Until now it stood in the piece's own row, told from the study's by a word in ``corrected``.

Revision 0007, after 0006.
"""

import json

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

_PIECES = sa.table(
    "pieces", sa.column("id", sa.Integer), sa.column("level", sa.Double), sa.column("corrected", sa.JSON)
)
_CORRECTIONS = sa.table(
    "level_corrections",
    sa.column("piece_id", sa.Integer),
    sa.column("part", sa.Text),
    sa.column("dimension", sa.Text),
    sa.column("level", sa.Double),
)


def upgrade() -> None:
    connection = op.get_bind()
    for piece_id, level, corrected in connection.execute(sa.select(_PIECES)).all():
        words = json.loads(corrected) if isinstance(corrected, str) else corrected
        if "level" not in words:
            continue
        if level is not None:
            own = {"piece_id": piece_id, "part": "", "dimension": "", "level": level}
            connection.execute(sa.insert(_CORRECTIONS).values(own))
        kept = [word for word in words if word != "level"]
        connection.execute(sa.update(_PIECES).where(_PIECES.c.id == piece_id).values(corrected=kept))


def downgrade() -> None:
    connection = op.get_bind()
    whole = (_CORRECTIONS.c.part == "") & (_CORRECTIONS.c.dimension == "")
    for piece_id, level in connection.execute(
        sa.select(_CORRECTIONS.c.piece_id, _CORRECTIONS.c.level).where(whole)
    ).all():
        found = connection.execute(sa.select(_PIECES.c.corrected).where(_PIECES.c.id == piece_id)).scalar_one()
        words = json.loads(found) if isinstance(found, str) else found
        values = {"corrected": sorted({*words, "level"}), "level": level}
        connection.execute(sa.update(_PIECES).where(_PIECES.c.id == piece_id).values(values))
    connection.execute(sa.delete(_CORRECTIONS).where(whole))
