"""Tables that are edited in place: every row with a key, every cell beside what it was shown as."""

from collections.abc import Iterator, Sequence

from werkzeug.datastructures import MultiDict

from planner.services.entered.numbers import number_of_thing

Cells = dict[str, str]


def sent_rows(form: MultiDict[str, str], fields: Sequence[str]) -> Iterator[tuple[int, Cells, Cells]]:
    """The rows of a table as it was sent: identity of the thing (0 for a new one), cells, cells as shown.

    Each row sends its key as ``row``; a key that is no number, or begins with a sign, stands for a new thing.
    """
    for key in form.getlist("row"):
        typed, shown = sent_fields(form, fields, key)
        yield number_of_thing(key) or 0, typed, shown


def sent_fields(form: MultiDict[str, str], fields: Sequence[str], key: str) -> tuple[Cells, Cells]:
    """The cells of one row as they were sent, and as they had been shown."""
    typed = {field: form[f"{field}-{key}"] for field in fields if f"{field}-{key}" in form}
    shown = {field: form[f"shown-{field}-{key}"] for field in fields if f"shown-{field}-{key}" in form}
    return typed, shown
