"""Reasons of planned slots as values, where they were English sentences.

Revision 0005, after 0004. A sentence that does not read as one the program wrote is dropped, and so is what
the study said of the skill in brackets; planning again gives the whole reasons.
"""

import re
from datetime import date

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
_NUMBER = r"(\d+(?:\.\d+)?)"
_LEVEL = re.compile(rf"Level {_NUMBER}; the term should stand at {_NUMBER} by then\.")
_TRAINS = re.compile(r"Trains .*?\.(?: It was named as a problem (\d+) times\.)?", re.DOTALL)
_FEATURES = re.compile(r"Features (.+), (?:last featured on (\d+) (\w+)|for the first time this term)\.")
_HARDEST = re.compile(r"Hardest for (.+): about (\d+) % of the bars right at first sight\.")
_TAKES = re.compile(rf"Takes {_NUMBER} of the day's {_NUMBER} minutes\.")
_PASSAGE = re.compile(rf"Bars (\S+) to (\S+) take {_NUMBER} of the day's {_NUMBER} minutes; .*")


def upgrade() -> None:
    bind = op.get_bind()
    sections: dict[int, dict[str, int]] = {}
    for term_id, section_id, name in bind.execute(
        sa.text(
            "SELECT terms.id, sections.id, sections.name FROM terms "
            "JOIN sections ON sections.ensemble_id = terms.ensemble_id"
        )
    ):
        sections.setdefault(term_id, {})[name] = section_id
    slots = sa.table(
        "slots", sa.column("term_id", sa.Integer), sa.column("on_day", sa.Date),
        sa.column("position", sa.Integer), sa.column("reasons", sa.JSON),
    )  # fmt: skip
    for row in bind.execute(sa.select(slots)).all():
        names = sections.get(row.term_id, {})
        values = [value for sentence in row.reasons if (value := _value(sentence, names, row.on_day))]
        bind.execute(
            sa.update(slots)
            .where(
                slots.c.term_id == row.term_id,
                slots.c.on_day == row.on_day,
                slots.c.position == row.position,
            )
            .values(reasons=values)
        )


def downgrade() -> None:
    """Sentences are not made again: the plan stays, without its reasons."""
    op.execute(sa.text("UPDATE slots SET reasons = '[]'"))


def _value(sentence: str, sections: dict[str, int], on: date) -> dict[str, object] | None:
    """A sentence as the reason it says; None when it is no sentence of the program."""
    if sentence == "You put it on this day.":
        return {"kind": "pinned"}
    if found := _LEVEL.fullmatch(sentence):
        return {"kind": "level", "numbers": _numbers(level=found[1], target=found[2])}
    if found := _TAKES.fullmatch(sentence):
        return {"kind": "time", "numbers": _numbers(minutes=found[1], available=found[2])}
    if found := _PASSAGE.fullmatch(sentence):
        numbers = _numbers(minutes=found[3], available=found[4])
        return {"kind": "passage", "numbers": numbers, "bars": [found[1], found[2]]}
    if (found := _HARDEST.fullmatch(sentence)) and found[1] in sections:
        share = [["share", int(found[2]) / 100]]
        return {"kind": "hardest", "numbers": share, "section_id": sections[found[1]]}
    if (found := _FEATURES.fullmatch(sentence)) and found[1] in sections:
        value: dict[str, object] = {"kind": "features", "section_id": sections[found[1]]}
        last = _last_on(found[2], found[3], on)
        return value if last is None else {**value, "last_on": last.isoformat()}
    if found := _TRAINS.fullmatch(sentence):
        return {"kind": "trains", "numbers": _numbers(named=found[1] or "0")}
    return None


def _numbers(**found: str) -> list[list[object]]:
    return [[name, float(text)] for name, text in found.items()]


def _last_on(day: str | None, month: str | None, on: date) -> date | None:
    """The last such day before the slot's own."""
    if day is None or month not in _MONTHS:
        return None
    for year in (on.year, on.year - 1):
        try:
            last = date(year, _MONTHS.index(month) + 1, int(day))
        except ValueError:
            continue
        if last < on:
            return last
    return None
