"""Why a wish is refused, in words: what keeps a piece off a day, who knows it, what it contradicts."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from planner.core.ensemble import Exposure
from planner.core.term import Wish
from planner.scheduling import check
from planner.scheduling.answer import Cause
from planner.wording.director.conflict import obstacle_sentences
from planner.wording.words import listed, short_day

WISH_WORDS = {"pinned": "pinned to", "banned": "kept off", "again": "read again on"}
"""How a wish is said of a piece, before its day."""

_HOW = {
    "performed": "was performed",
    "rehearsed": "was rehearsed",
    "read": "was read",
    "heard": "was heard",
}


def wish_phrase(kind: str, title: str, on: date | None) -> str:
    """A wish as part of a sentence.

    Example:
        >>> wish_phrase("pinned", "Rondo", date(2026, 9, 3)), wish_phrase("banned", "Rondo", None)
        ('“Rondo” is pinned to Sep 3', '“Rondo” is kept out of the term')
    """
    if on is None:
        return f"“{title}” is {'kept out of the term' if kind == 'banned' else 'pinned to the term'}"
    return f"“{title}” is {WISH_WORDS[kind]} {short_day(on)}"


def wished_sentence(kind: str, title: str, on: date | None, *, was: Wish | None, waits: bool) -> str:
    """What was noted, and what has to be done for it.

    Args:
        kind: What is wished.
        title: Of which piece.
        on: For which day; None for the term.
        was: The wish in whose place it stands; None for none.
        waits: The plan in force does not meet it yet.

    Example:
        >>> wished_sentence("pinned", "Rondo", date(2026, 9, 3), was=None, waits=True)
        '“Rondo” is pinned to Sep 3. It waits until you plan again.'
        >>> wished_sentence("pinned", "Rondo", date(2026, 9, 3), was=Wish("pinned", 7, None), waits=False)
        '“Rondo” is pinned to Sep 3, no longer to the term.'
    """
    instead = ""
    if was is not None:
        whole = "out of the term" if kind == "banned" else "to the term"
        instead = f", no longer {_PLACES[kind] + short_day(was.on) if was.on else whole}"
    return f"{wish_phrase(kind, title, on)}{instead}.{' It waits until you plan again.' if waits else ''}"


_PLACES = {"pinned": "to ", "banned": "off ", "again": "on "}


def withdrawn_sentence(kind: str, title: str, on: date | None) -> str:
    """That a wish was taken back.

    Example:
        >>> withdrawn_sentence("pinned", "Rondo", date(2026, 9, 3))
        '“Rondo” is no longer pinned to Sep 3.'
    """
    return wish_phrase(kind, title, on).replace(f"“{title}” is ", f"“{title}” is no longer ", 1) + "."


def known_sentence(title: str, exposure: Exposure, whom: str) -> str:
    """Who can know a piece, and how.

    Example:
        >>> known_sentence("Rondo", Exposure(1, 2, "read", date(2026, 9, 1), 4), "Flute")
        '“Rondo” is not fresh: it was read by Flute on Sep 1.'
    """
    when = f" on {short_day(exposure.on)}" if exposure.on else ""
    return f"“{title}” is not fresh: it {_HOW[exposure.how]} by {whom}{when}."


def lost_sentence(title: str, sections: Iterable[str]) -> str:
    """Whom a piece would leave behind.

    Example:
        >>> lost_sentence("Rondo", ["Oboe"])
        'Oboe would likely be lost in “Rondo”.'
    """
    return f"{listed(tuple(sections))} would likely be lost in “{title}”."


def stands_already_sentence(title: str, on: date) -> str:
    """That a piece stands on a day that stays as it is.

    Example:
        >>> stands_already_sentence("Rondo", date(2026, 9, 3))
        '“Rondo” stands on Sep 3, and that day stays as it is: move or swap it there by hand.'
    """
    return f"“{title}” stands on {short_day(on)}, and that day stays as it is: move or swap it there by hand."


def short_copies_sentence(title: str, parts: Sequence[tuple[str, int, int]]) -> str:
    """Which parts have too few copies; each with its name, the copies needed and those there are.

    Example:
        >>> short_copies_sentence("Rondo", [("Clarinet 1", 2, 1)])
        'There are too few copies of “Rondo”: Clarinet 1 needs 2 and has 1.'
    """
    each = [f"{part} needs {needed} and has {copies}" for part, needed, copies in parts]
    return f"There are too few copies of “{title}”: {listed(each)}."


def refusal_sentences(
    causes: Iterable[Cause], title: str, sections: Mapping[int, str], known: str
) -> tuple[str, ...]:
    """Why a piece cannot stand on a day, a sentence each.

    Args:
        causes: From ``scheduling.causes.why_not``.
        title: Of the piece.
        sections: Names by id.
        known: Who knows it, as ``known_sentence`` says; empty where nobody does.
    """
    found = []
    for cause in causes:
        if cause.rule == check.FRESH and known:
            found.append(known)
        elif cause.rule == check.READABLE:
            found.append(lost_sentence(title, (sections[i] for i in cause.section_ids if i in sections)))
        else:
            found += obstacle_sentences((cause,), dict.fromkeys(cause.piece_ids, f"“{title}”"), sections)
    return tuple(found)
