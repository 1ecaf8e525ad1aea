"""Words about who may open the pages."""

from collections.abc import Mapping, Sequence
from typing import Any

from planner.core.account import Access
from planner.core.change import Change
from planner.core.person_name import GONE
from planner.wording.words import listed

MAY: Mapping[Access, str] = {
    Access.DIRECTOR: "may do everything, and look after the others",
    Access.LEADER: "sees plan, library, and guides and results of their own sections; enters those results",
    Access.VIEWER: "sees plan, library and guides; no players, marks or results",
}
"""What each kind of account may do, for those who choose."""


def access_text(access: str, sections: Sequence[str] = ()) -> str:
    """What somebody is, with the sections that are theirs.

    Example:
        >>> access_text("section leader", ["Flute", "Oboe"]), access_text("viewer")
        ('section leader of Flute and Oboe', 'viewer')
    """
    return f"{access} of {listed(list(sections))}" if sections else access


def account_shown(account: str) -> str:
    """The name of an account as it is shown.

    Example:
        >>> account_shown("ada"), account_shown("[…]")
        ('ada', 'somebody whose name was deleted')
    """
    return "somebody whose name was deleted" if account == GONE else account


def account_change_text(change: Change) -> str:
    """What was changed of an account, after its name."""
    before, after = change.before, change.after
    if before.get("name") is None and after.get("name") is not None:
        return f"may open the pages as {access_text(after['access'], _names(after['sections']))}"
    if "name" in after and after["name"] is None:
        was = access_text(before["access"], _names(before["sections"]))
        return f"may no longer open the pages (was {was})"
    return "; ".join(
        f"{name} now {account_value(name, value)} (was {account_value(name, before.get(name))})"
        for name, value in after.items()
    )


def account_value(name: str, value: Any) -> str:
    """A value of an account in a sentence."""
    if name == "sections":
        return listed(_names(value)) or "none"
    return f"“{value}”" if name == "name" and value else str(value or "none")


def _names(sections: Sequence[Mapping[str, Any]] | None) -> list[str]:
    return [each["name"] for each in sections or ()]
