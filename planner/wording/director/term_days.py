"""Terms and their days in words: how a day differs, what a change of one did, the director's wishes."""

from collections.abc import Collection, Mapping, Sequence
from datetime import date

from planner.core.term import DayShape, Term, Wish
from planner.wording.director.wishes import wish_phrase
from planner.wording.words import WEEKDAYS, count_of, listed, listed_dates, short_day

Names = Mapping[int, str]


def term_lines(term: Term, sections: Names) -> tuple[str, ...]:
    """What a term is, a line for each thing that is set.

    Example:
        >>> concert = (date(2026, 12, 10),)
        >>> term = Term(1, 1, "Fall", date(2026, 9, 1), date(2026, 12, 18), (1, 3), concerts=concert)
        >>> for line in term_lines(term, {}): print(line)
        Tuesday and Thursday from Sep 1 to Dec 18: 32 reading days of 10 minutes, one piece each.
        Concerts: December 10, 2026.
        A plan is announced 14 days ahead.
    """
    days = listed([WEEKDAYS[day] for day in term.weekdays])
    pieces = "one piece" if term.slots == 1 else f"{term.slots} pieces"
    lines = [
        f"{days} from {short_day(term.first)} to {short_day(term.last)}: "
        f"{count_of(len(term.reading_dates()), 'reading day')} of {term.minutes:g} minutes, {pieces} each."
    ]
    if term.starts_at is not None:
        lines.append(f"Reading begins at {term.starts_at:%H:%M} ({term.time_zone}).")
    if term.days_off:
        lines.append(f"No reading: {listed_dates(term.days_off)}.")
    levels = [
        *([f"{term.start_level:g} at the start"] if term.start_level is not None else []),
        *(f"{level:g} by {short_day(on)}" for on, level in term.aims),
        *([f"{term.target_level:g} by the end"] if term.target_level is not None else []),
    ]
    if levels:
        lines.append(f"Levels to aim at: {listed(levels)}.")
    if term.concerts:
        lines.append(f"Concerts: {listed_dates(term.concerts)}.")
    lines += [f"{short_day(shape.on)}: {shape_text(shape, sections)}." for shape in term.shapes]
    lines.append(f"A plan is announced {count_of(term.announced_days, 'day')} ahead.")
    return tuple(lines)


def shape_text(shape: DayShape, sections: Names) -> str:
    """How a day differs from the others of its term.

    Example:
        >>> shape_text(DayShape(date(2026, 9, 8), 20.0, 2, absent=(3,)), {3: "Flute"})
        '20 minutes, 2 pieces, without Flute'
        >>> shape_text(DayShape(date(2026, 9, 8)), {})
        'like the other days'
    """
    parts = [f"{shape.minutes:g} minutes"] if shape.minutes is not None else []
    if shape.slots is not None:
        parts.append(count_of(shape.slots, "round" if shape.stations else "piece"))
    if shape.stations:
        rooms = [f"{one.name} ({listed(_known(one.section_ids, sections))})" for one in shape.stations]
        parts.append(f"stations {listed(rooms)}")
    if shape.absent:
        parts.append(f"without {listed(_known(shape.absent, sections))}")
    return ", ".join(parts) or "like the other days"


def wish_line(wish: Wish, titles: Names) -> str:
    """A wish of the director in a list.

    Example:
        >>> wish_line(Wish("again", 3, date(2026, 9, 8)), {3: "Rondo"})
        '“Rondo” is read again on Sep 8.'
    """
    return f"{wish_phrase(wish.kind, titles.get(wish.piece_id, ''), wish.on)}."


def listed_wishes(wishes: Sequence[Wish], title: str) -> str:
    """What is wished of one piece.

    Example:
        >>> listed_wishes([Wish("pinned", 3, date(2026, 9, 8))], "Rondo"), listed_wishes([], "Rondo")
        ('“Rondo” is pinned to Sep 8', 'nothing')
    """
    return "; ".join(wish_phrase(wish.kind, title, wish.on) for wish in wishes) or "nothing"


def moved_sentence(moved: Sequence[tuple[int, date]], titles: Names) -> str:
    """Pieces that stand on another day now; empty when there are none.

    Example:
        >>> moved_sentence([(3, date(2026, 9, 8))], {3: "Rondo"})
        '“Rondo” stands on Sep 8 now.'
    """
    if not moved:
        return ""
    if len(moved) > 2:
        return f"{len(moved)} pieces moved on."
    places = [f"“{titles[piece]}” stands on {short_day(on)}" for piece, on in moved]
    return f"{listed(places)} now."


def fallen_sentence(pieces: Collection[int], titles: Names) -> str:
    """Pieces that are in no plan any more; empty when there are none.

    Example:
        >>> fallen_sentence([3], {3: "Rondo"})
        '“Rondo” went back to the library: plan again to fill its place.'
    """
    if not pieces:
        return ""
    named = listed([f"“{titles[piece]}”" for piece in pieces])
    its, place = ("its", "place") if len(pieces) == 1 else ("their", "places")
    return f"{named} went back to the library: plan again to fill {its} {place}."


def waiting_sentence(pieces: Collection[tuple[int, date | None]], titles: Names) -> str:
    """Pieces that wait for the next planning, and the days they come on then; empty when there are none.

    Example:
        >>> waiting_sentence([(3, date(2026, 10, 8)), (4, None)], {3: "Rondo", 4: "Air"})
        '“Rondo” waits for Oct 8, the first day that can take it: plan again to put it there. “Air” waits: no day can take it as things are.'
    """  # noqa: E501
    placed = [(f"“{titles[piece]}”", on) for piece, on in pieces if on is not None]
    left = [f"“{titles[piece]}”" for piece, on in pieces if on is None]
    parts = []
    if len(placed) == 1:
        name, on = placed[0]
        parts.append(
            f"{name} waits for {short_day(on)}, the first day that can take it: plan again to put it there."
        )
    elif placed:
        named = listed([f"{name} for {short_day(on)}" for name, on in placed])
        parts.append(f"The first days that can take them: {named}. Plan again to put them there.")
    if left:
        waits, them = ("waits", "it") if len(left) == 1 else ("wait", "them")
        parts.append(f"{listed(left)} {waits}: no day can take {them} as things are.")
    return " ".join(parts)


def _known(ids: Collection[int], sections: Names) -> list[str]:
    return [sections[i] for i in ids if i in sections]
