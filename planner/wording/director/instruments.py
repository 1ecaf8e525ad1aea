"""Instruments as a person looks for them: by family, sorted by the instrument and not by its key."""

import re
from dataclasses import dataclass
from functools import cache

from planner.core.instruments import INSTRUMENTS
from planner.core.text import folded

FAMILIES = {
    "woodwind": "Woodwinds", "brass": "Brass", "percussion": "Percussion", "strings": "Strings",
    "plucked": "Harp, guitars", "keyboard": "Keyboards", "voice": "Voices",
}  # fmt: skip
"""Families in the order of a score, with what their lists are headed by."""
_KEY_BEFORE = re.compile(r"(?P<key>[A-G][♭♯]?) (?P<name>.+)")
_KEY_AFTER = re.compile(r"(?P<name>.+) in (?:(?P<height>high|low) )?(?P<key>[A-G][♭♯]?)")


@dataclass(frozen=True, slots=True)
class InstrumentChoice:
    """One instrument of a list: its name, and what it is found by when somebody types."""

    name: str
    words: str


@cache
def instrument_choices() -> tuple[tuple[str, tuple[InstrumentChoice, ...]], ...]:
    """Every family with its instruments, each under its own letter.

    Example:
        >>> [one.name for one in dict(instrument_choices())["Woodwinds"]][2:5]
        ['Alto Recorder', 'Alto Saxophone', 'Baritone Saxophone']
    """
    found = []
    for family, heading in FAMILIES.items():
        own = sorted((each.name for each in INSTRUMENTS if each.family == family), key=sort_name)
        found.append((heading, tuple(InstrumentChoice(name, folded(name)) for name in own)))
    return tuple(found)


def sort_name(name: str) -> tuple[str, str]:
    """A name as it is sorted: the instrument, then its key.

    Example:
        >>> sort_name("B♭ Clarinet"), sort_name("Horn in low A"), sort_name("Flute")
        (('clarinet', 'bb'), ('horn', 'a low'), ('flute', ''))
    """
    found = _KEY_BEFORE.fullmatch(name) or _KEY_AFTER.fullmatch(name)
    if not found:
        return folded(name), ""
    height = found.groupdict().get("height") or ""
    return folded(found["name"]), f"{folded(found['key'])} {height}".strip()
