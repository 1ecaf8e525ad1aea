"""Words for finding pieces: what is asked for, what a list stands by, and why nothing was found."""

from collections.abc import Mapping, Sequence
from typing import Any

from planner.core.change import Change
from planner.core.ensemble import Ensemble
from planner.core.finding import ENTERED, NONE, Copy, FindQuery, Group, Order, SavedList, Standing
from planner.wording.words import count_of, key, listed

_LABELS: Mapping[str, str] = {
    "from": "Level from",
    "to": "Level to",
    "reads": "Just readable for",
    "fresh": "Fresh for",
    "focus": "Trains",
    "shortest": "Minutes from",
    "longest": "Minutes to",
    "copy": "On paper or with a score",
    "standing": "Read or planned",
    "offset": "First piece",
}

ORDERS: Mapping[Order, str] = {
    Order.TITLE: "title",
    Order.COMPOSER: "composer",
    Order.LEVEL: "level",
    Order.KEY: "home key",
    Order.PARTS: "number of parts",
    Order.MINUTES: "playing time",
    Order.GRADE: "published grade",
    Order.SHELF: "shelf place",
    Order.READ: "day of the last reading",
    Order.ADDED: "day it was added",
    Order.NEAREST: "closest spelling",
}

COPIES: Mapping[Copy, str] = {Copy.SCORE: "with a score", Copy.PAPER: "on paper only"}
STANDINGS: Mapping[Standing, str] = {
    Standing.READ: "read before",
    Standing.UNREAD: "never read",
    Standing.PLANNED: "planned to be read",
    Standing.UNPLANNED: "not planned",
}

NEAR_NOTE = "Nothing matches exactly. These are close."


def label_of(name: str) -> str:
    """What a filter is called, by its name in an address.

    Example:
        >>> label_of("from"), label_of("shelf")
        ('Level from', 'Shelf')
    """
    return _LABELS.get(name, name.capitalize())


def group_words(group: Group, ensembles: Sequence[Ensemble]) -> str:
    """An ensemble or a section by its name; the section of one of several ensembles with both."""
    for ensemble in ensembles:
        if ensemble.id == group.ensemble_id:
            if group.section_id is None:
                return ensemble.name
            name = next((s.name for s in ensemble.sections if s.id == group.section_id), "a section")
            return f"{name} ({ensemble.name})" if len(ensembles) > 1 else name
    return "an ensemble"


def filter_words(
    name: str, query: FindQuery, ensembles: Sequence[Ensemble] = (), lists: Sequence[SavedList] = ()
) -> str:
    """One filter of a query in a few words, as it stands on the page to be taken off; empty if not in use.

    Example:
        >>> filter_words("level", FindQuery(level_from=2, level_to=3.5))
        'level 2 to 3.5'
        >>> filter_words("minutes", FindQuery(longest=3)), filter_words("shelf", FindQuery(shelf="none"))
        ('at most 3 minutes long', 'no shelf place')
    """
    match name:
        case "text":
            return f"“{query.text}”" + (" or close to it" if query.is_near else "") if query.text else ""
        case "level":
            return _between("level", query.level_from, query.level_to)
        case "reads":
            return f"just readable for {group_words(query.reads, ensembles)}" if query.reads else ""
        case "fresh":
            return f"fresh for {group_words(query.fresh_for, ensembles)}" if query.fresh_for else ""
        case "focus":
            return f"trains {query.focus}" if query.focus else ""
        case "key":
            return f"in {key(query.key)}" if query.key else ""
        case "meter":
            return f"in {query.meter}" if query.meter else ""
        case "minutes":
            return _minutes(query.shortest, query.longest)
        case "rights":
            return {"": "", NONE: "no rights entered", ENTERED: "rights entered"}.get(
                query.rights, f"rights: {query.rights}"
            )
        case "tag":
            return f"tagged {query.tag}" if query.tag else ""
        case "copy":
            return COPIES[query.copy] if query.copy else ""
        case "standing":
            return STANDINGS[query.standing] if query.standing else ""
        case "shelf":
            return {"": "", NONE: "no shelf place"}.get(query.shelf, f"shelf {query.shelf}")
        case _:
            names = {one.id: one.name for one in lists}
            return "" if query.list_id is None else f"on the list “{names.get(query.list_id, query.list_id)}”"


def _between(what: str, low: float | None, high: float | None) -> str:
    if low is None and high is None:
        return ""
    if low is not None and high is not None:
        return f"{what} {low:g}" if low == high else f"{what} {low:g} to {high:g}"
    return f"{what} {low:g} and up" if low is not None else f"{what} up to {high:g}"


def _minutes(low: float | None, high: float | None) -> str:
    if low is None and high is None:
        return ""
    if low is not None and high is not None:
        return f"{low:g} to {high:g} minutes long"
    return f"at least {low:g} minutes long" if low is not None else f"at most {high:g} minutes long"


def loosen_words(count: int) -> str:
    """What taking one filter off would show.

    Example:
        >>> loosen_words(1), loosen_words(12)
        ('without it 1 piece', 'without it 12 pieces')
    """
    return f"without it {count_of(count, 'piece')}"


def nothing_found_words(filters: Sequence[str], *, helps: bool) -> str:
    """Why a list is empty.

    Example:
        >>> nothing_found_words(["tagged fall", "in 5/4"], helps=True)
        'No piece is all of this: tagged fall and in 5/4. Loosen one:'
        >>> nothing_found_words(["tagged fall"], helps=False)
        'No piece is tagged fall.'
    """
    if not filters:
        return "No piece is here yet."
    if len(filters) == 1:
        is_name = filters[0].startswith("“")
        return f"No piece is {'called ' if is_name else ''}{filters[0]}."
    end = " Loosen one:" if helps else " Taking any one of them off finds nothing either."
    return f"No piece is all of this: {listed(filters)}.{end}"


def list_note(saved: SavedList) -> str:
    """What a list holds.

    Example:
        >>> list_note(SavedList(1, "Fall", (3, 4))), list_note(SavedList(2, "Easy", search={"to": "2"}))
        ('2 pieces', 'a search')
    """
    return "a search" if saved.search is not None else count_of(len(saved.piece_ids), "piece")


def list_change_text(change: Change) -> str:
    """What was done to a list: made, removed, renamed, pieces put on it and taken off."""
    before, after = change.before, change.after
    if before.get("name") is None and after.get("name") is not None:
        search = after.get("search")
        what = list_value("search", search) if search else list_value("pieces", after.get("pieces"))
        return f"{'brought back' if change.undoes else 'made'}, {what}"
    if after.get("name", "") is None:
        return "removed"
    done = [f"now called “{after['name']}” (was “{before['name']}”)"] if "name" in after else []
    if "pieces" in after:
        one, other = set(before["pieces"] or ()), set(after["pieces"] or ())
        new, gone = len(other - one), len(one - other)
        done += [f"{count_of(new, 'piece')} put on"] if new else []
        done += [f"{count_of(gone, 'piece')} taken off"] if gone else []
    return listed(done) or "put in another order"


def list_value(name: str, value: Any) -> str:
    """A value of a list within a sentence.

    Example:
        >>> list_value("pieces", [3, 4]), list_value("search", {"to": "2"}), list_value("name", "Fall")
        ('2 pieces', 'a search', '“Fall”')
    """
    if name == "pieces":
        return count_of(len(value or ()), "piece")
    if name == "search":
        return "a search" if value else "no search"
    return f"“{value}”" if value else "none"


def moved_words(name: str, moved: int, as_before: int, *, is_off: bool) -> str:
    """What putting pieces on a list, or taking them off, did.

    Example:
        >>> moved_words("Fall", 3, 1, is_off=False)
        '3 pieces put on “Fall”. One piece was on it already.'
    """
    done = f"{count_of(moved, 'piece')} {'taken off' if is_off else 'put on'} “{name}”."
    if not as_before:
        return done
    was = "was" if as_before == 1 else "were"
    where = "not on it" if is_off else "on it already"
    return f"{done} {'One piece' if as_before == 1 else f'{as_before} pieces'} {was} {where}."
