"""A plan and a proposal as JSON values: how the journal and the library keep them."""

import json
from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from planner.core.profile import from_plain
from planner.core.term import Plan, Slot

PLAN = "plan"
"""Name of the value that says how good a plan is; the others are its days, by their date."""
PROPOSAL = "proposal"
"""Name of the value that holds what is proposed."""


def plain_values(value: Any) -> Any:
    """A frozen value as JSON holds it: dates as text, tuples as lists."""
    return json.loads(json.dumps(asdict(value), default=str))


def plan_values(plan: Plan | None) -> dict[str, Any]:
    """A plan as values: its days by date, and how good it is; None for that where there is no plan.

    Example:
        >>> plan_values(None)
        {'plan': None}
    """
    if plan is None:
        return {PLAN: None}
    days: dict[str, Any] = {}
    for slot in plan.slots:
        days.setdefault(slot.on.isoformat(), []).append(plain_values(slot))
    about = {name: getattr(plan, name) for name in ("cost", "bound", "is_proven", "made_from")}
    return {PLAN: about, **days}


def plan_of_values(term_id: int, values: Mapping[str, Any]) -> Plan | None:
    """The plan that ``plan_values`` wrote."""
    about = values.get(PLAN)
    if about is None:
        return None
    slots = tuple(
        from_plain(Slot, slot, is_old=True)
        for name, day in sorted(values.items())
        if is_day(name)
        for slot in day or ()
    )
    return Plan(term_id, slots, **about)


def is_day(name: str) -> bool:
    """Whether the name of a value is the date of a day.

    Example:
        >>> is_day("2026-09-01"), is_day("plan")
        (True, False)
    """
    try:
        date.fromisoformat(name)
    except ValueError:
        return False
    return True
