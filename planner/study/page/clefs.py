"""Where the clef of a staff changes."""

from collections.abc import Iterator

from planner.core.fact import Fact, FactKind
from planner.core.score import Clef, Part, Score

MOST_CHANGES = 8
"""Most changes that a reader can take in one by one; of a busier part nothing is said. House choice."""

NAMES: dict[tuple[str, int], str] = {
    ("G", 2): "treble", ("F", 4): "bass", ("C", 3): "alto", ("C", 4): "tenor", ("C", 1): "soprano",
    ("G", 1): "french-violin", ("F", 3): "baritone", ("C", 2): "mezzo-soprano", ("F", 5): "subbass",
}  # fmt: skip
"""Clefs by sign and line; common names."""


def clef_facts(score: Score) -> Iterator[Fact]:
    """For each part whose clef changes: every change with its bar and staff.

    Example:
        >>> list(clef_facts(Score("Empty", (), ())))
        []
    """
    for part in score.parts:
        changes = _changes(part)
        if 0 < len(changes) <= MOST_CHANGES:
            yield Fact(
                FactKind.CLEF_CHANGES,
                part.name,
                places=tuple((clef.measure, clef.measure) for clef in changes),
                terms=tuple(NAMES[clef.sign, clef.line] for clef in changes),
                numbers=(("staves", part.staves), *(("staff", clef.staff) for clef in changes)),
                weight=0.5,
            )


def _changes(part: Part) -> list[Clef]:
    """Clefs that differ from the one before on their staff, in order of place; nameless ones do not count."""
    in_force: dict[int, tuple[str, int]] = {}
    found = []
    for clef in sorted(part.clefs, key=lambda each: (each.measure, each.onset_quarters, each.staff)):
        kind = (clef.sign, clef.line)
        if kind not in NAMES:
            continue
        if in_force.get(clef.staff, kind) != kind:
            found.append(clef)
        in_force[clef.staff] = kind
    return found
