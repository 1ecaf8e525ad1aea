"""Which note values a part uses."""

from planner.core.score import Part

_VALUE_ORDER = (
    "maxima", "long", "breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th",
)  # fmt: skip
VALUE_NAMES: dict[str, str] = {
    "16th": "sixteenth",
    "32nd": "thirty-second",
    "64th": "sixty-fourth",
    "breve": "double whole",
}


def values_used(part: Part) -> tuple[str, ...]:
    """Note values on the page, longest first, e.g. ``dotted quarter`` or ``eighth triplet``.

    Rests, cue notes and grace notes are not counted.
    """
    found = {
        (note.value, note.dots, note.tuplet)
        for note in part.notes
        if note.value and not (note.is_rest or note.is_cue or note.is_grace)
    }

    def longest_first(item: tuple[str, int, tuple[int, int] | None]) -> tuple[int, int, tuple[int, int]]:
        value, dots, tuplet = item
        place = _VALUE_ORDER.index(value) if value in _VALUE_ORDER else len(_VALUE_ORDER)
        return (place, -dots, tuplet or (0, 0))

    return tuple(value_name(*item) for item in sorted(found, key=longest_first))


def value_name(value: str, dots: int, tuplet: tuple[int, int] | None) -> str:
    """A note value in words.

    Example:
        >>> value_name("quarter", 1, None), value_name("eighth", 0, (3, 2))
        ('dotted quarter', 'eighth triplet')
    """
    words = ["", "dotted ", "double-dotted ", "triple-dotted "][min(dots, 3)] + VALUE_NAMES.get(value, value)
    if tuplet is None:
        return words
    names = {3: "triplet", 5: "quintuplet", 6: "sextuplet", 7: "septuplet", 2: "duplet", 4: "quadruplet"}
    return f"{words} {names.get(tuplet[0], f'{tuplet[0]}:{tuplet[1]} tuplet')}"
