"""The printed guides of a day, as far as they are open to whoever asks."""

from pathlib import Path

from planner.adapters.web.context import account, reading, tools
from planner.core.account import Access
from planner.services.day.read_day import DayView
from planner.services.sheets.make_guides import find_guides, sheets_of_sections


def own_guides(view: DayView) -> list[Path]:
    """The day's sheets; of those a section leader gets what their own sections read."""
    found = find_guides(tools().exports, reading(), view.term, view.on)
    who = account()
    if not found or who is None or who.access is not Access.LEADER:
        return found
    own = sheets_of_sections(reading(), view, who.section_ids)
    return [path for path in found if f"{path.parent.name}/{path.name}" in own]
