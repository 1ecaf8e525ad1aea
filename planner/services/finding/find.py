"""Which pieces match what is asked for, in which order, and what each filter leaves out.

Everything is decided here, over plain rows of all pieces, so that a search, its spelling and its order are
the same whichever database holds them, and so that an empty list can say which filter to loosen.
"""

import re
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from typing import Any

from planner.core.finding import (
    ENTERED,
    NONE,
    Copy,
    FindQuery,
    Group,
    ListedPiece,
    Order,
    Standing,
)
from planner.core.piece import Piece
from planner.core.slips import near_words, words_of
from planner.core.text import folded
from planner.services.finding.for_groups import just_readable, known_to, training
from planner.services.finding.lists import list_of
from planner.services.finding.query import read_query
from planner.services.ports.work import UnitOfWork

Ids = frozenset[int]


@dataclass(frozen=True, slots=True)
class Found:
    """One page of what was found.

    Attributes:
        query: What was asked for.
        pieces: On this page.
        total: How many match in all.
        levels: By piece of this page, its level for the ensemble asked for; None where it is not known, or
            where no section reads the piece.
        last_read: By piece of this page, the day it was read last; None where no day is known. A piece never
            read is not in it.
        is_near: Nothing is spelled as it was typed, and what comes near is shown.
        without: Where nothing was found: by filter, how many pieces there would be without it, most first;
            filters that do not help are left out.
    """

    query: FindQuery
    pieces: Sequence[Piece]
    total: int
    levels: Mapping[int, float | None]
    last_read: Mapping[int, date | None]
    is_near: bool = False
    without: Mapping[str, int] = field(default_factory=dict)

    @property
    def first(self) -> int:
        """1-based place of the first piece shown; 0 when none is."""
        return self.query.offset + 1 if self.pieces else 0

    @property
    def last(self) -> int:
        """1-based place of the last piece shown."""
        return self.query.offset + len(self.pieces)


def find_pieces(work: UnitOfWork, query: FindQuery, today: date) -> Found:
    """One page of the pieces that match.

    Args:
        work: An open unit of work; nothing is changed.
        query: What is asked for.
        today: The day whose players, and whose plans, count.

    Raises:
        NotFoundError: If a list or an ensemble that is named is not there.
    """
    search = _Search(work, query, today)
    rows = search.in_order(search.found)
    end = query.offset + query.limit if query.limit else None
    shown = rows[query.offset : end]
    pieces = work.finding.shown([row.id for row in shown], query.level_for)
    there = [pieces[row.id] for row in shown]
    return Found(
        query=query,
        pieces=[one.piece for one in there],
        total=len(rows),
        levels={one.piece.id: one.level for one in there},
        last_read={one.piece.id: one.last_read for one in there if one.is_read},
        is_near=search.is_near,
        without={} if rows else search.without(),
    )


def find_ids(work: UnitOfWork, query: FindQuery, today: date) -> tuple[int, ...]:
    """The numbers of all pieces that match, in the order asked for, whatever the page."""
    search = _Search(work, query, today)
    return tuple(row.id for row in search.in_order(search.found))


class _Search:
    """All pieces held against a query.

    Attributes:
        rows: Every piece, in order of title.
        filters: By name of the filter, the pieces it lets through; those in use alone.
    """

    def __init__(self, work: UnitOfWork, query: FindQuery, today: date, within: Ids = frozenset()) -> None:
        self.work, self.query, self.today, self._within = work, query, today, within
        self.rows = work.finding.pieces(_wanted(query), level_for=query.level_for, meter=query.meter)
        self.slips: Mapping[int, int] = {}
        self.is_near = False
        self.filters: dict[str, Ids] = dict(self._filters())

    @property
    def found(self) -> Ids:
        """The pieces that every filter lets through."""
        every = frozenset(row.id for row in self.rows)
        return every.intersection(*self.filters.values())

    def without(self) -> Mapping[str, int]:
        """By filter, how many pieces there would be without it, most first, if there would be any."""
        every = frozenset(row.id for row in self.rows)
        counts = {
            name: len(every.intersection(*(ids for other, ids in self.filters.items() if other != name)))
            for name in self.filters
        }
        return {name: many for name, many in sorted(counts.items(), key=lambda one: -one[1]) if many}

    def _filters(self) -> Iterator[tuple[str, Ids]]:
        query, work = self.query, self.work
        if query.text:
            yield "text", self._spelled()
        if query.level_from is not None or query.level_to is not None:
            yield "level", self._where(lambda row: _within(row.level, query.level_from, query.level_to))
        if query.reads is not None:
            yield "reads", just_readable(work, query.reads)
        if query.fresh_for is not None:
            yield "fresh", self._fresh(query.fresh_for)
        if query.focus and query.level_for is not None:
            yield "focus", training(work, query.level_for, query.focus)
        if query.key:
            yield "key", self._where(lambda row: row.key == query.key)
        if query.meter:
            yield "meter", self._where(lambda row: row.has_meter)
        if query.shortest is not None or query.longest is not None:
            yield "minutes", self._where(lambda row: _within(_minutes(row), query.shortest, query.longest))
        if query.rights:
            yield "rights", self._where(_rights(query.rights))
        if query.tag:
            tag = folded(query.tag)
            yield "tag", self._where(lambda row: tag in row.tags.split("\n"))
        if query.copy is not None:
            yield "copy", self._where(lambda row: row.is_on_paper == (query.copy is Copy.PAPER))
        if query.standing is not None:
            yield "standing", self._standing(query.standing)
        if query.shelf:
            yield "shelf", self._where(_shelf(query.shelf))
        if query.list_id is not None:
            yield "list", self._on_list(query.list_id)

    def _where(self, holds: Callable[[ListedPiece], bool]) -> Ids:
        return frozenset(row.id for row in self.rows if holds(row))

    def _spelled(self) -> Ids:
        """Pieces with all words as they were typed; where there are none, those that come near."""
        typed = list(dict.fromkeys(folded(self.query.text).split()))
        texts = {row.id: f"{row.words} {row.tags}" if row.tags else row.words for row in self.rows}
        exact = frozenset(one for one, text in texts.items() if all(word in text for word in typed))
        if exact and not self.query.is_near:
            return exact
        near = _near(typed, texts)
        self.is_near = not exact and bool(near)
        self.slips = {**near, **dict.fromkeys(exact, 0)}
        return frozenset(self.slips)

    def _fresh(self, group: Group) -> Ids:
        return frozenset(row.id for row in self.rows) - known_to(self.work, group, self.today)

    def _standing(self, standing: Standing) -> Ids:
        if standing in (Standing.READ, Standing.UNREAD):
            return self._where(lambda row: row.is_read == (standing is Standing.READ))
        terms = self.work.terms.list_terms()
        of_whom = [term.id for term in terms if self.query.level_for in (None, term.ensemble_id)]
        slots = self.work.terms.planned([term.id for term in terms])
        planned = {slot.piece_id for term in of_whom for slot in slots.get(term, ()) if slot.on >= self.today}
        return self._where(lambda row: (row.id in planned) == (standing is Standing.PLANNED))

    def _on_list(self, list_id: int) -> Ids:
        """The pieces of a list; of one that is a search those that it finds today."""
        saved = list_of(self.work, list_id)
        if saved.search is None:
            return frozenset(saved.piece_ids)
        if list_id in self._within:
            return frozenset()  # a search within itself adds nothing
        asked = read_query(saved.search, self.work.ensembles.list_ensembles(), None)
        return _Search(self.work, asked, self.today, self._within | {list_id}).found

    def in_order(self, ids: Ids) -> list[ListedPiece]:
        """Some pieces as they are to stand; those of which it is not known come last either way."""
        rows = [row for row in self.rows if row.id in ids]
        order = self.query.order or (Order.NEAREST if self.slips else Order.TITLE)
        if order is Order.TITLE:
            return rows[::-1] if self.query.is_falling else rows
        place = self._place(order)
        known = [(at, row) for row in rows if (at := place(row)) is not None]
        known.sort(key=lambda pair: pair[0], reverse=self.query.is_falling)
        return [row for _, row in known] + [row for row in rows if place(row) is None]

    def _place(self, order: Order) -> Callable[[ListedPiece], Any]:
        """What pieces are sorted by; None where it is not known."""
        match order:
            case Order.COMPOSER:
                fold = cache(folded)
                return lambda row: fold(row.composer) or None
            case Order.LEVEL:
                return lambda row: row.level
            case Order.KEY:
                return lambda row: row.key or None
            case Order.PARTS:
                return lambda row: row.part_count or None
            case Order.MINUTES:
                return lambda row: row.playing_seconds or None
            case Order.GRADE:
                return lambda row: row.grade
            case Order.SHELF:
                return lambda row: _shelf_place(row.shelf)
            case Order.READ:
                return lambda row: row.last_read
            case Order.ADDED:
                return lambda row: row.added_on
            case _:
                return lambda row: self.slips.get(row.id, 0)


def _wanted(query: FindQuery) -> frozenset[str]:
    """What must be read of every piece for a query."""
    in_use = {
        "words tags": query.text,
        "level": query.level_from is not None or query.level_to is not None or query.order is Order.LEVEL,
        "key": query.key or query.order is Order.KEY,
        "has_meter": query.meter,
        "playing_seconds": (query.shortest, query.longest) != (None, None) or query.order is Order.MINUTES,
        "rights rights_reason": query.rights,
        "tags": query.tag,
        "is_on_paper": query.copy,
        "is_read": query.standing in (Standing.READ, Standing.UNREAD),
        "last_read": query.order is Order.READ,
        "shelf": query.shelf or query.order is Order.SHELF,
        "composer": query.order is Order.COMPOSER,
        "part_count": query.order is Order.PARTS,
        "grade": query.order is Order.GRADE,
        "added_on": query.order is Order.ADDED,
    }
    return frozenset(name for names, is_in_use in in_use.items() if is_in_use for name in names.split())


_SQUEEZED_FROM = 6
"""Letters from which a word is also looked for across the gaps between words: a slip of the space bar. House
choice: shorter ones stand across gaps by chance."""


def _near(typed: Sequence[str], texts: Mapping[int, str]) -> dict[int, int]:
    """Pieces that hold every word that was typed, or one near it, each with its slips."""
    meant = [bare for word in typed if (bare := "".join(words_of(word)))]
    left = dict(texts) if meant else {}
    slips = dict.fromkeys(left, 0)
    for bare in meant:
        near = _near_in(bare, set(" ".join(left.values()).split()))
        for piece, text in list(left.items()):
            found = _slips_in(bare, text, near)
            if found is None:
                del left[piece], slips[piece]
            else:
                slips[piece] += found
    return slips


def _near_in(bare: str, written: Collection[str]) -> Mapping[str, int]:
    """Of words as they are written, with their punctuation, those near a word, with the slips in it."""
    words = {each: words_of(each) for each in written if not each.isdigit()}
    near = near_words(bare, {word for some in words.values() for word in some})
    found = {each: min((near[w] for w in some if w in near), default=None) for each, some in words.items()}
    return {each: slips for each, slips in found.items() if slips is not None}


def _slips_in(bare: str, text: str, near: Mapping[str, int]) -> int | None:
    """The slips in a word as a piece has it; None where it has none near it."""
    if bare in text or (len(bare) >= _SQUEEZED_FROM and bare in "".join(words_of(text))):
        return 0
    words = text.split()
    return None if near.keys().isdisjoint(words) else min(near[word] for word in words if word in near)


def _within(value: float | None, low: float | None, high: float | None) -> bool:
    return value is not None and (low is None or value >= low) and (high is None or value <= high)


def _minutes(row: ListedPiece) -> float | None:
    return row.playing_seconds / 60.0 or None


def _rights(asked: str) -> Callable[[ListedPiece], bool]:
    if asked in (NONE, ENTERED):
        return lambda row: bool(row.rights or row.rights_reason) == (asked == ENTERED)
    words = folded(asked)
    fold = cache(folded)
    return lambda row: words in fold(row.rights) or words in fold(row.rights_reason)


def _shelf(asked: str) -> Callable[[ListedPiece], bool]:
    if asked == NONE:
        return lambda row: not row.shelf
    words = folded(asked)
    fold = cache(folded)
    return lambda row: _begins(fold(row.shelf), words)


def _begins(place: str, asked: str) -> bool:
    """Whether a place is the one asked for or lies in it: a number goes to its end.

    Example:
        >>> [_begins(place, "b 2") for place in ("b 2", "b 2, left", "b 21")]
        [True, True, False]
    """
    after = place[len(asked) : len(asked) + 1]
    return place.startswith(asked) and not (asked[-1:].isdigit() and after.isdigit())


def _shelf_place(shelf: str) -> tuple[str | int, ...] | None:
    """A place as it is sorted, its numbers by size; None for none.

    Example:
        >>> sorted(["B 10", "B 2", "a 3"], key=_shelf_place)
        ['a 3', 'B 2', 'B 10']
    """
    parts = re.split(r"([0-9]+)", folded(shelf))
    return tuple(int(part) if at % 2 else part for at, part in enumerate(parts)) if shelf else None
