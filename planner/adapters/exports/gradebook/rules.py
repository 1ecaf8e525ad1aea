"""What may be entered in the cells of a gradebook."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from planner.wording.director.marks import ATTENDANCE_WORDS, LETTERS
from planner.wording.words import listed

FIRST_DATE = date(1900, 3, 1)
"""The first day that spreadsheets count alike. Source: they take 1900 for a leap year."""


def of_hundred(title: str, example: str) -> Mapping[str, Any]:
    """Numbers from 0 to 100."""
    return {
        "validate": "decimal", "criteria": "between", "minimum": 0, "maximum": 100, "error_title": title,
        "error_message": f"Enter a number from 0 to 100, {example}, or leave the cell empty.",
    }  # fmt: skip


def of_hundred_or(word: str, cell: str) -> Mapping[str, Any]:
    """Numbers from 0 to 100, or a word; ``cell`` is the first of those that the rule is for."""
    return {
        "validate": "custom", "value": f'=OR({cell}="{word}",AND(ISNUMBER({cell}),{cell}>=0,{cell}<=100))',
        "error_title": "Bars right",
        "error_message": f"Enter a number from 0 to 100, the word {word}, or leave the cell empty.",
    }  # fmt: skip


def attendance() -> Mapping[str, Any]:
    """The letters for attendance."""
    meanings = listed([f"{letter} for {ATTENDANCE_WORDS[state]}" for state, letter in LETTERS.items()])
    return {
        "validate": "list", "source": list(LETTERS.values()), "error_title": "Attendance",
        "error_message": f"Enter {meanings}, or leave the cell empty.",
    }  # fmt: skip


def dates(title: str) -> Mapping[str, Any]:
    """Dates."""
    return {
        "validate": "date", "criteria": ">", "value": FIRST_DATE, "error_title": title,
        "error_message": "Enter a date, or leave the cell empty.",
    }  # fmt: skip


def one_of(name: str, title: str, message: str) -> Mapping[str, Any]:
    """What stands in a range of the book that has a name."""
    return {"validate": "list", "source": f"={name}", "error_title": title, "error_message": message}
