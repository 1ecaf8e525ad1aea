"""What a sheet names of the notes that a part's signature does not have."""

from dataclasses import dataclass

from planner.core.fact import Place


@dataclass(frozen=True, slots=True)
class AlteredNote:
    """A note that the signature does not have, with every bar in which it is played.

    ``taken_back`` are those of them in which the note of the signature, ``usual``, comes after it.
    """

    name: str
    measures: tuple[int, ...]
    taken_back: tuple[int, ...] = ()
    usual: str = ""


@dataclass(frozen=True, slots=True)
class AlteredPlace:
    """Some bars with all altered notes that the part has in them.

    ``key`` is the key as written, of stretches whose key is named; empty for other places.
    """

    places: tuple[Place, ...]
    notes: tuple[AlteredNote, ...]
    key: str = ""
