"""What a technical check finds."""

from dataclasses import dataclass
from typing import Literal

Severity = Literal["note", "warning", "error"]


@dataclass(frozen=True, slots=True)
class Check:
    """One thing a section should know about a part.

    Attributes:
        name: Kind of check, e.g. ``"comfortable range"``.
        severity: ``error`` cannot be played, ``warning`` hard at this level, ``note`` worth knowing.
        sentence: What and where, for the director.
        measures: Written positions, ascending.
        mend: What would help, as a sentence; may be empty.
    """

    name: str
    severity: Severity
    sentence: str
    measures: tuple[int, ...] = ()
    mend: str = ""
