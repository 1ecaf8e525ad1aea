"""Words for a change of many pieces at once."""

from collections.abc import Mapping

from planner.wording.words import count_of

NO_PARTS = "It has no list of parts, so no copies can be counted."

LABELS: Mapping[str, str] = {
    "add_tags": "Add tags",
    "take_tags": "Take tags away",
    "set_tags": "Set tags",
    "shelf": "Shelf",
    "rights": "Rights",
    "rights_reason": "Why you may play it",
    "remarks": "Remarks",
    "add_remark": "Add a line to the remarks",
    "copies": "Copies of each part",
}
"""What a change of many pieces may do, by the name of its field, in the order of the form."""

_LONGEST = 40


def edit_words(typed: Mapping[str, str]) -> str:
    """What a change of many pieces does, as the journal calls it.

    Example:
        >>> edit_words({"add_tags": "fall, easy", "shelf": "B 2"})
        'Add tags: fall, easy; Shelf: B 2'
        >>> edit_words({"shelf": "-"})
        'Shelf: none'
    """
    return "; ".join(f"{LABELS[name]}: {_short(text)}" for name, text in typed.items())


def _short(text: str) -> str:
    flat = " ".join(text.split())
    if flat == "-":
        return "none"
    return flat if len(flat) <= _LONGEST else f"{flat[: _LONGEST - 1]}…"


def outcome_words(changed: int, unchanged: int, refused: int, *, is_done: bool) -> str:
    """What a change of many pieces does, or did, in one line.

    Example:
        >>> outcome_words(12, 1, 0, is_done=False)
        '12 pieces would change. One piece is so already.'
        >>> outcome_words(1, 0, 2, is_done=True)
        '1 piece changed. 2 pieces could not be changed.'
    """
    will = "changed" if is_done else "would change"
    found = [f"{count_of(changed, 'piece')} {will}."]
    if unchanged:
        found.append("One piece is so already." if unchanged == 1 else f"{unchanged} pieces are so already.")
    if refused:
        could = "could not be changed" if is_done else "cannot be changed so"
        found.append(f"{count_of(refused, 'piece')} {could}.")
    return " ".join(found)
