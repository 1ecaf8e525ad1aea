"""An ``Issue``: one sentence about something odd in the user's data."""

from dataclasses import dataclass
from typing import Literal

Severity = Literal["note", "warning", "error"]


@dataclass(frozen=True, slots=True)
class Issue:
    """A fault or oddity in the data that did not stop the work.

    Attributes:
        slug: Stable, unique name of the kind of issue, e.g. ``"no-time-signature"``.
        severity: ``note`` (healed or harmless), ``warning`` (look at it), ``error`` (facts are missing).
        sentence: What, where, and what to do, as one sentence for a director.
        part: Name of the part, or empty when it concerns the whole piece.
        measure: 0-based position of the written measure, or None.
    """

    slug: str
    severity: Severity
    sentence: str
    part: str = ""
    measure: int | None = None
