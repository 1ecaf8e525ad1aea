"""How a result is kept in the journal: as JSON values, and back."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from planner.core.term import Result

_LATER = {"fell_apart": False, "wrong_bars": []}
"""What entries do not say that are older than the field."""


def result_values(result: Result) -> dict[str, Any]:
    """How a section read, without who, what and when."""
    return {
        "first": result.first_share, "second": result.second_share, "tempo": result.tempo_bpm,
        "problems": list(result.problems), "note": result.note, "counts": result.counts,
        "fell_apart": result.fell_apart, "wrong_bars": [list(place) for place in result.wrong_bars],
    }  # fmt: skip


def result_of(
    ensemble_id: int, section_id: int, piece_id: int, on: date, values: Mapping[str, Any]
) -> Result:
    """The result that values speak of, exactly; those of older entries know fewer fields."""
    known = {**_LATER, **values}
    return Result(
        ensemble_id, section_id, piece_id, on, known["first"], known["second"], known["tempo"],
        tuple(known["problems"]), known["note"], known["counts"], known["fell_apart"],
        tuple((first, last) for first, last in known["wrong_bars"]),
    )  # fmt: skip


def is_same_result(one: Any, other: Any) -> bool:
    """Whether two values say the same; a section's new name changes nothing of how it read."""
    if not one or not other:
        return bool(one == other)
    return bool({**_LATER, **one, "section": ""} == {**_LATER, **other, "section": ""})
