"""What the page of a term says: why a piece stands on its day in one sentence, what waits, what is asked."""

from collections.abc import Mapping, Sequence
from datetime import date

from planner.core.ensemble import Section
from planner.core.term import Reason, ReasonKind, Slot, Wish
from planner.levels.readable import verdict_of
from planner.scheduling import check
from planner.wording.words import capital, count_of, day, listed, long_day, often, percent, short_day


def slot_sentence(slot: Slot, sections: Sequence[Section]) -> str:
    """Why a piece stands on its day, in one sentence; empty where no reason is stored.

    Example:
        >>> from datetime import date
        >>> from planner.core.fact import named
        >>> aim = Reason(ReasonKind.AIM, named(share=0.86, aim=0.84))
        >>> slot_sentence(Slot(date(2026, 9, 1), 0, 7, "rhythm", reasons=(aim,)), ())
        'About 86% of the bars right (aim: 84%).'
    """
    names = {section.id: section.name for section in sections}
    clauses = [
        clause
        for reason in sorted(slot.reasons, key=lambda each: _ORDER.get(each.kind, len(_ORDER)))
        if (reason.section_id is None or reason.section_id in names)
        and (clause := _clause(reason, slot, names))
    ]
    return f"{capital('; '.join(clauses))}." if clauses else ""


_ORDER = {
    kind: at
    for at, kind in enumerate([
        ReasonKind.PINNED, ReasonKind.AGAIN, ReasonKind.EASIER, ReasonKind.TRAINS, ReasonKind.FEATURES,
        ReasonKind.AIM,
    ])
}  # fmt: skip


def _clause(reason: Reason, slot: Slot, names: Mapping[int, str]) -> str:
    """A reason as part of a sentence; empty where another line of the day says the same."""
    match reason.kind:
        case ReasonKind.PINNED:
            return "you pinned it here"
        case ReasonKind.AGAIN:
            before = f", first on {day(reason.last_on)}" if reason.last_on else ""
            return f"you wanted it read again{before}"
        case ReasonKind.EASIER:
            concert = reason.last_on
            return f"easier, before the concert on {day(concert)}" if concert else "easier, after the break"
        case ReasonKind.TRAINS:
            named = int(reason.number("named"))
            return f"{slot.focus} was a problem {often(named)} lately" if named > 1 else ""
        case ReasonKind.FEATURES:
            section, last = names[reason.section_id or 0], reason.last_on
            since = f", last on {day(last)}" if last else " for the first time this term"
            return f"the tune goes to {section}{since}"
        case ReasonKind.AIM:
            share, aim = percent(reason.number("share")), percent(reason.number("aim"))
            return f"about {share} of the bars right (aim: {aim})"
        case ReasonKind.PASSAGE:
            first, last_bar = reason.bars
            return f"bars {first} to {last_bar} only, as the whole would not fit"
        case ReasonKind.LEVEL | ReasonKind.HARDEST | ReasonKind.TIME:
            return ""


def plan_button(waiting: int, has_plan: bool) -> str:
    """What the button that plans a term says.

    Example:
        >>> plan_button(3, True), plan_button(1, True), plan_button(0, True), plan_button(2, False)
        ('3 changes wait: Plan again', '1 change waits: Plan again', 'Plan again', 'Plan this term')
    """
    if not has_plan:
        return "Plan this term"
    if not waiting:
        return "Plan again"
    return f"{count_of(waiting, 'change')} {'waits' if waiting == 1 else 'wait'}: Plan again"


def wish_words(wish: Wish, title: str) -> str:
    """What the director wants of a piece.

    Example:
        >>> from datetime import date
        >>> wish_words(Wish("banned", 7), "Rondo"), wish_words(Wish("pinned", 7, date(2026, 9, 1)), "Rondo")
        ('“Rondo”: not this term', '“Rondo”: pinned to Tuesday, September 1')
    """
    if wish.on is None:
        return f"“{title}”: {'not this term' if wish.kind == 'banned' else 'on some day of this term'}"
    how = {"pinned": "pinned to", "banned": "not on", "again": "again on"}[wish.kind]
    return f"“{title}”: {how} {long_day(wish.on)}"


def waits_here(wish: Wish, title: str) -> str:
    """What the director wants on a day, where the plan does not have it yet.

    Example:
        >>> waits_here(Wish("pinned", 7), "Rondo"), waits_here(Wish("banned", 7), "Rondo")
        ('“Rondo” comes here when you plan again.', '“Rondo” leaves this day when you plan again.')
    """
    does = {"pinned": "comes here", "banned": "leaves this day", "again": "is read again here"}[wish.kind]
    return f"“{title}” {does} when you plan again."


def wanted_words(slots: int, minutes: float, levels: tuple[float, float], focus: str) -> str:
    """What would fill a day with open places.

    Example:
        >>> wanted_words(1, 12.0, (1.4, 2.2), "key")
        'Wanted: one fresh piece of level 1.4 to 2.2 that takes at most 12 minutes, best one that trains key.'
        >>> wanted_words(2, 20.0, (1.4, 2.2), "")
        'Wanted: 2 fresh pieces of level 1.4 to 2.2 that take at most 20 minutes together.'
    """
    many = slots > 1
    pieces, take = (f"{slots} fresh pieces", "take") if many else ("one fresh piece", "takes")
    best = f", best {'some that train' if many else 'one that trains'} {focus}" if focus else ""
    together = " together" if many else ""
    span = f"level {levels[0]:.1f} to {levels[1]:.1f}"
    return f"Wanted: {pieces} of {span} that {take} at most {minutes:g} minutes{together}{best}."


_LEFT_OUT = {
    check.FRESH: "known to somebody in the room",
    check.ONCE: "read on another day of this term",
    check.FORCES: "too few players with a part",
    check.READABLE: "a section would likely be lost",
    check.MINUTES: "too long for what is left of the day",
    check.FOLDERS: "too few copies, or its folders are elsewhere that day",
    check.BANS: "you keep it off",
}


def left_out_words(rule: str, titles: Sequence[str], most: int = 15) -> str:
    """Which pieces a rule keeps off a day; of many the first ``most``, and how many more.

    Example:
        >>> left_out_words(check.FRESH, ["Air", "Rondo"])
        'Known to somebody in the room (2): Air; Rondo.'
        >>> left_out_words(check.MINUTES, ["Air", "Rondo", "Song"], most=1)
        'Too long for what is left of the day (3): Air; 2 more.'
    """
    more = [f"{len(titles) - most} more"] if len(titles) > most else []
    named = "; ".join([*titles[:most], *more])
    return f"{capital(_LEFT_OUT.get(rule, rule))} ({len(titles)}): {named}."


def again_words(title: str, last_on: date, minutes: float) -> str:
    """A piece that could be read a second time.

    Example:
        >>> again_words("Rondo", date(2026, 9, 1), 4.8)
        '“Rondo”, read on Sep 1: 4.8 minutes'
    """
    return f"“{title}”, read on {short_day(last_on)}: {minutes:g} minutes"


def open_places(count: int) -> str:
    """That something is still to be filled on a day.

    Example:
        >>> open_places(1), open_places(3)
        ('Open', '3 places open')
    """
    return "Open" if count == 1 else f"{count} places open"


def unlogged_words(count: int) -> str:
    """That past readings have no result.

    Example:
        >>> unlogged_words(1)
        '1 past reading has no results: was it read?'
    """
    if count == 1:
        return "1 past reading has no results: was it read?"
    return f"{count} past readings have no results: were they read?"


def share_percent(share: float) -> str:
    """A share of bars in percent, with as many places as it takes not to contradict what it is called.

    Example:
        >>> share_percent(0.953), share_percent(0.947), share_percent(0.6999), share_percent(0.84)
        ('95.3%', '95%', '69.99%', '84%')
    """
    for places in range(4):
        number = round(100 * share, places)
        if verdict_of(number / 100) is verdict_of(share):
            return f"{number:.{places}f}%"
    return f"{100 * share:.6g}%"


def share_list(shares: Sequence[tuple[str, float]], most: int = 2) -> str:
    """Sections with the bars each should get right; those after the first ``most`` are counted.

    Example:
        >>> share_list([("Oboe", 0.61), ("Horn", 0.655)])
        'Oboe 61% and Horn 66%'
        >>> share_list([("Oboe", 0.61), ("Horn", 0.655), ("Tuba", 0.66)])
        'Oboe 61%, Horn 66% and 1 more'
    """
    more = [f"{len(shares) - most} more"] if len(shares) > most else []
    return listed([*(f"{name} {share_percent(share)}" for name, share in shares[:most]), *more])


def reading_words(
    section: str, share: float, now: float | None, *, skills: tuple[str, str], featured: tuple[str, str]
) -> str:
    """How another piece in a place would read, against the one that stands there.

    Args:
        section: Who would be furthest off the aim.
        share: The bars it should get right, 0 to 1.
        now: What that section should get right of the piece that stands there; None where it reads none.
        skills: The skill now, and then.
        featured: The section with the tune now, and then; empty for none.

    Example:
        >>> reading_words("Oboe", 0.61, 0.78, skills=("key", "key"), featured=("", "Horn"))
        'Oboe would read 61% instead of 78%. Trains key; the tune goes to Horn.'
    """
    then, before = share_percent(share), share_percent(now) if now is not None else ""
    instead = f" instead of {before}" if before not in ("", then) else ""
    hardest = f"{section} would read {then}{instead}. " if section else ""
    skill = f"trains {skills[1]}" + (f" instead of {skills[0]}" if skills[0] not in ("", skills[1]) else "")
    tune = f"the tune goes to {featured[1]}" if featured[1] else "no section is featured"
    return f"{hardest}{capital(skill)}; {tune}."


def leaving_words(title: str, on: date, section: str, share: float, *, is_announced: bool) -> str:
    """Where the piece that stands in a place goes when it is swapped.

    Args:
        title: Of the piece.
        on: The day it goes to.
        section: Who would be furthest off that day's aim there; empty where nobody reads.
        share: The bars it should get right, 0 to 1.
        is_announced: The plan of that day is announced.

    Example:
        >>> leaving_words("Rondo", date(2026, 10, 8), "Tuba", 0.7, is_announced=True)
        '“Rondo” goes to Oct 8, where Tuba would read 70%; that day is announced.'
    """
    where = f", where {section} would read {share_percent(share)}" if section else ""
    announced = "; that day is announced" if is_announced else ""
    return f"“{title}” goes to {short_day(on)}{where}{announced}."
