"""What is written for people, and what stays because somebody changed it."""

from collections.abc import Sequence

from planner.wording.words import listed


def kept_text(name: str, kept: Sequence[str]) -> str:
    """Why a new file has another name than usual; empty when it has not.

    Example:
        >>> kept_text("plan-autumn-2.xlsx", ["plan-autumn.xlsx"])
        'plan-autumn.xlsx was changed since it was written, so it stays; the new one is plan-autumn-2.xlsx.'
    """
    if not kept:
        return ""
    were, stay = ("was", "it stays") if len(kept) == 1 else ("were", "they stay")
    since = "it was" if len(kept) == 1 else "they were"
    return f"{listed(kept)} {were} changed since {since} written, so {stay}; the new one is {name}."
