"""The printed guides of a day, as far as they are open to whoever asks."""

from collections.abc import Collection
from pathlib import Path

from planner.adapters.web.context import account, reading, tools
from planner.core.account import Access
from planner.services.day.read_day import DayView
from planner.services.sheets.files import find_guides, is_for_directors
from planner.services.sheets.make_guides import sheets_of_sections


def own_guides(view: DayView) -> list[Path]:
    """The day's sheets, the director's for directors alone; a section leader gets those of their sections."""
    found = find_guides(tools().exports, reading(), view.term, view.on)
    who = account()
    if who is not None and who.access is not Access.DIRECTOR:
        found = [path for path in found if not is_for_directors(path)]
    section_ids = own_section_ids()
    if not found or section_ids is None:
        return found
    own = sheets_of_sections(view, section_ids)
    return [path for path in found if f"{path.parent.name}/{path.name}" in own]


def own_section_ids() -> Collection[int] | None:
    """The sections whose sheets are shown to whoever asks; None for all."""
    who = account()
    return who.section_ids if who is not None and who.access is Access.LEADER else None
