"""What is asked for, as the library's address, a saved search and a command write it: read, and written."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from enum import StrEnum
from typing import TypeVar

from planner.core.difficulty import FOCUSES
from planner.core.ensemble import Ensemble
from planner.core.finding import Copy, FindQuery, Group, Order, Standing
from planner.errors import InputError
from planner.services.entered.numbers import entered_number, number_of_thing
from planner.services.entered.words import short
from planner.wording.director.finding import label_of

FOR_ALL = "all"
"""As ``for``: levels as if all parts were read."""

FILTERS: Mapping[str, tuple[str, ...]] = {
    "text": ("text", "near"),
    "level": ("from", "to"),
    "reads": ("reads",),
    "fresh": ("fresh",),
    "focus": ("focus",),
    "key": ("key",),
    "meter": ("meter",),
    "minutes": ("shortest", "longest"),
    "rights": ("rights",),
    "tag": ("tag",),
    "copy": ("copy",),
    "standing": ("standing",),
    "shelf": ("shelf",),
    "list": ("list",),
}
"""Every filter, in the order of the page, with the names under which an address holds it."""

NAMES = ("for", *(name for names in FILTERS.values() for name in names), "order", "down")
"""All that an address, a saved search and a command may say, apart from which page of the list."""

Chosen = TypeVar("Chosen", bound=StrEnum)


def read_query(
    given: Mapping[str, str], ensembles: Sequence[Ensemble], in_view: Ensemble | None
) -> FindQuery:
    """What is asked for.

    Args:
        given: Values by their names in ``NAMES``; others are passed over, and empty ones say nothing.
        ensembles: Those who may be named.
        in_view: Whose levels count where nothing is said of them, if it has sections.

    Raises:
        InputError: If a value cannot be read, or they contradict each other.
    """
    asked = {name: given.get(name, "").strip() for name in NAMES}
    level_for = _level_for(asked["for"], ensembles, in_view)
    query = FindQuery(
        text=asked["text"],
        is_near=bool(asked["near"]),
        level_for=level_for,
        level_from=_number("from", asked["from"]),
        level_to=_number("to", asked["to"]),
        reads=_group("reads", asked["reads"], ensembles, level_for),
        fresh_for=_group("fresh", asked["fresh"], ensembles, level_for or (in_view.id if in_view else None)),
        focus=_one_of("focus", asked["focus"], FOCUSES),
        key=asked["key"],
        meter=asked["meter"],
        shortest=_number("shortest", asked["shortest"]),
        longest=_number("longest", asked["longest"]),
        rights=asked["rights"],
        tag=asked["tag"],
        copy=_chosen("copy", asked["copy"], Copy),
        standing=_chosen("standing", asked["standing"], Standing),
        shelf=asked["shelf"],
        list_id=_list(asked["list"]),
        order=_chosen("order", asked["order"], Order),
        is_falling=bool(asked["down"]),
    )
    if query.focus and level_for is None:
        raise InputError(
            "A skill is trained by an ensemble, not by a full score.", hint="Choose for whom the levels are."
        )
    for low, high, what in (("from", "to", "level"), ("shortest", "longest", "playing time")):
        least, most = _number(low, asked[low]), _number(high, asked[high])
        if least is not None and most is not None and least > most:
            raise InputError(f"The lowest {what} asked for is above the highest.", hint="Swap the two.")
    return query


def on_page(query: FindQuery, offset: str, size: int) -> FindQuery:
    """The same, a page of it.

    Raises:
        InputError: If the page does not begin at a piece.
    """
    first = _number("offset", offset) or 0.0
    if first < 0 or first != int(first):
        raise InputError("A list begins at the first piece.")
    return replace(query, offset=int(first), limit=size)


def search_of(given: Mapping[str, str]) -> dict[str, str]:
    """What is worth keeping of an address: what it asks for, in a fixed order."""
    return {name: given[name].strip() for name in NAMES if given.get(name, "").strip()}


def _level_for(text: str, ensembles: Sequence[Ensemble], in_view: Ensemble | None) -> int | None:
    """Whose levels count: the ensemble named, else the one in view; None for the full score."""
    able = {str(one.id): one.id for one in ensembles if one.sections}
    return able.get(text or (str(in_view.id) if in_view else ""))


def _group(name: str, text: str, ensembles: Sequence[Ensemble], usual: int | None) -> Group | None:
    """An ensemble or section: ``e3``, ``s12``; ``1`` for the usual ensemble."""
    if not text:
        return None
    if text == "1" and usual is not None:
        return Group(usual)
    for ensemble in ensembles:
        if text == f"e{ensemble.id}":
            return Group(ensemble.id)
        for section in ensemble.sections:
            if text == f"s{section.id}":
                return Group(ensemble.id, section.id)
    raise InputError(
        f"{label_of(name)}: that ensemble or section is not there.", hint="Choose another one.", field=name
    )


def group_value(group: Group) -> str:
    """A group as an address names it.

    Example:
        >>> group_value(Group(3)), group_value(Group(3, 12))
        ('e3', 's12')
    """
    return f"e{group.ensemble_id}" if group.section_id is None else f"s{group.section_id}"


def _number(name: str, text: str) -> float | None:
    return entered_number(text, label_of(name), field=name)


def _list(text: str) -> int | None:
    if not text:
        return None
    number = number_of_thing(text)
    if number is None:
        raise InputError(
            "A list is named by its number.", hint="Choose one of the lists there are.", field="list"
        )
    return number


def _one_of(name: str, text: str, able: Sequence[str]) -> str:
    if text and text not in able:
        raise InputError(f"{label_of(name)}: one of {', '.join(able)}, not “{short(text)}”.", field=name)
    return text


def _chosen(name: str, text: str, kind: type[Chosen]) -> Chosen | None:
    if not text:
        return None
    able = [one.value for one in kind]
    if text not in able:
        kinds = ", ".join(able)
        first = f"Pieces are ordered by {kinds}" if kind is Order else f"{label_of(name)}: one of {kinds}"
        raise InputError(f"{first}, not {'by ' if kind is Order else ''}{text[:60]}.", field=name)
    return kind(text)
