"""The library's list as its address says it: filters that can be taken off, headings to sort by, pages."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from flask import request, url_for
from werkzeug.datastructures import MultiDict

from planner.adapters.web.context import ensemble_in_view, ensembles
from planner.core.ensemble import Ensemble
from planner.core.finding import FindQuery, Order, SavedList
from planner.services.entered.numbers import number_of_thing
from planner.services.finding.find import Found
from planner.services.finding.query import FILTERS, on_page, read_query, search_of
from planner.wording.director.finding import filter_words, loosen_words

PAGE_SIZE = 50

COLUMNS: Sequence[tuple[Order, str, str]] = (
    (Order.TITLE, "Piece", ""),
    (Order.COMPOSER, "Composer", ""),
    (Order.LEVEL, "Level", ""),
    (Order.KEY, "Home key", ""),
    (Order.GRADE, "Grade", "number"),
    (Order.PARTS, "Parts", "number"),
    (Order.MINUTES, "Minutes", "number"),
    (Order.READ, "Last read", ""),
    (Order.SHELF, "Shelf", ""),
)
"""Columns by which the list can be sorted, with the class of their cells."""


@dataclass(frozen=True, slots=True)
class Heading:
    """One column that can be sorted by; ``sorted`` is as ``aria-sort`` has it."""

    order: Order
    label: str
    css: str
    href: str
    sorted: str


@dataclass(frozen=True, slots=True)
class Chip:
    """One filter in use: what it asks for, the address without it, and what that would show, if it helps."""

    name: str
    words: str
    href: str
    loosen: str = ""


def asked_for() -> dict[str, str]:
    """What the address asks for."""
    return search_of(request.args)


def query_of(given: Mapping[str, str]) -> FindQuery:
    """What an address asks for, for whoever asks.

    Raises:
        InputError: If a value cannot be read.
    """
    return read_query(given, ensembles(), ensemble_in_view())


def page_of(query: FindQuery) -> FindQuery:
    """The page of a list that the address names."""
    return on_page(query, request.args.get("offset", ""), PAGE_SIZE)


def list_address(given: Mapping[str, str], **changed: str) -> str:
    """The address of the list that asks for the same with some values changed; an empty one is left out."""
    arguments = {name: text for name, text in {**given, **changed}.items() if text}
    return url_for("library.pieces") + (f"?{urlencode(arguments)}" if arguments else "")


def headings(given: Mapping[str, str], query: FindQuery, *, is_near: bool) -> dict[Order, Heading]:
    """The columns as they stand, each with the address that sorts by it, or turns it round."""
    now = query.order or (Order.NEAREST if is_near or query.is_near else Order.TITLE)
    found = {}
    for order, label, css in COLUMNS:
        is_now = order is now
        down = "1" if is_now and not query.is_falling else ""
        state = ("descending" if query.is_falling else "ascending") if is_now else "none"
        found[order] = Heading(order, label, css, list_address(given, order=order.value, down=down), state)
    return found


def chips(
    given: Mapping[str, str], found: Found, lists: Sequence[SavedList], groups: Sequence[Ensemble]
) -> list[Chip]:
    """The filters in use, in the order of the form."""
    every = []
    for name, values in FILTERS.items():
        words = filter_words(name, found.query, groups, lists)
        if words:
            loosen = loosen_words(found.without[name]) if name in found.without else ""
            every.append(Chip(name, words, list_address(given, **dict.fromkeys(values, "")), loosen))
    return every


def earlier_and_later(given: Mapping[str, str], found: Found) -> tuple[str, str]:
    """Addresses of the pages before and after; empty where there is none."""
    at = found.query.offset
    earlier = list_address(given, offset=str(max(0, at - PAGE_SIZE) or "")) if at else ""
    later = (
        list_address(given, offset=str(at + PAGE_SIZE)) if found.last < found.total and found.pieces else ""
    )
    return earlier, later


def ticked(form: "MultiDict[str, str]") -> list[int]:
    """The pieces that were ticked, by their numbers: each by itself, or several with commas between."""
    numbers = [number_of_thing(text) for each in form.getlist("piece") for text in each.split(",")]
    return list(dict.fromkeys(number for number in numbers if number is not None))
