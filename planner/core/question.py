"""A question about something that was entered and can hold, but is odd."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Question:
    """Something odd that the director says yes to before it is stored.

    Attributes:
        key: What is asked about, with the value: a yes holds for it alone.
        sentence: What is odd.
        field: Name of the value in the form; empty where it is about no single one.
    """

    key: str
    sentence: str
    field: str = ""
