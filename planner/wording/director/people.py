"""Words about people: what was changed on a roster, what would be lost, why a piece is not fresh."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from typing import Any

from planner.core.change import Change, ChangeKind
from planner.core.ensemble import Ensemble, Exposure
from planner.wording.director.matching import instrument_name
from planner.wording.words import count_of, full_date, listed, some_of

PEOPLE = frozenset({
    ChangeKind.ENSEMBLE, ChangeKind.WHOLE_ENSEMBLE, ChangeKind.PERSON, ChangeKind.MET,
    ChangeKind.PEOPLE_JOINED,
})  # fmt: skip
"""Kinds of changes that are worded here."""
NAMED_ONE_BY_ONE = 4
"""Players, sections and pieces of one change that are named one by one; more are counted (house choice)."""


def people_change_text(change: Change) -> str:
    """What was done to an ensemble, a player or what was met, as the rest of a sentence that begins with it.

    Example:
        >>> from planner.core.change import Author, Door, Subject
        >>> from datetime import UTC, datetime
        >>> by = Author(Door.PAGE, datetime(2026, 9, 1, tzinfo=UTC))
        >>> band = Subject("ensemble", 1, "Band")
        >>> people_change_text(Change(0, ChangeKind.ENSEMBLE, band, {"name": "Old"}, {"name": "Band"}, by))
        'now called “Band” (was “Old”)'
    """
    if change.kind == ChangeKind.PERSON:
        return f"now called “{change.after['name']}” (was “{change.before['name']}”)"
    if change.kind == ChangeKind.PEOPLE_JOINED:
        people = {value["person"] for value in change.after.values() if _is_of_person(value)}
        is_one = people <= {change.subject.id}
        return "joined with another entry of the same player" if is_one else "two entries again"
    if "name" in change.before and change.before["name"] is None:
        return "brought back with all of it" if change.kind == ChangeKind.WHOLE_ENSEMBLE else "a new ensemble"
    if "name" in change.after and change.after["name"] is None:
        whole = change.kind == ChangeKind.WHOLE_ENSEMBLE
        return "taken out with all of it" if whole else "taken out"
    if change.kind == ChangeKind.MET:
        return _met_text(change)
    phrases = []
    if "name" in change.after:
        phrases.append(f"now called “{change.after['name']}” (was “{change.before['name']}”)")
    if "kind" in change.after:
        phrases.append(f"now a {change.after['kind']} (was a {change.before['kind']})")
    phrases += _phrases(change, "section", _section_phrase, "section")
    phrases += _phrases(change, "seat", _seat_phrase, "player")
    return "; ".join(phrases)


def _is_of_person(value: Any) -> bool:
    return isinstance(value, Mapping) and "person" in value


def people_value_name(change: Change, name: str) -> str:
    """What a value of an ensemble is called in a sentence."""
    kind, _, _ = name.partition(" ")
    value = change.after.get(name) or change.before.get(name) or {}
    if change.kind == ChangeKind.PEOPLE_JOINED:
        return {"seat": "a seat", "mark": "a day", "met": "a piece met"}.get(kind, "a section")
    if kind == "section":
        return str(value["name"])
    if kind == "seat":
        return f"the entry of {value.get('who', 'a player')}"
    if kind == "met":
        return f"“{value['title']}”"
    return "the name" if kind == "name" else kind


def _phrases(change: Change, kind: str, phrase: Any, noun: str) -> list[str]:
    """What was done to sections or players: each by name, or how many of each sort."""
    names = [name for name in change.after if name.split(maxsplit=1)[0] == kind]
    if len(names) <= NAMED_ONE_BY_ONE:
        return [phrase(change.before.get(name), change.after.get(name)) for name in names]
    done = [_done(change.before.get(name), change.after.get(name)) for name in names]
    return [f"{count_of(done.count(what), noun)} {what}" for what in dict.fromkeys(done)]


def _done(before: Any, after: Any) -> str:
    if not before:
        return "added"
    return "changed" if after else "taken out"


def _section_phrase(before: Mapping[str, Any] | None, after: Mapping[str, Any] | None) -> str:
    if not before or not after:
        value = after or before or {}
        return f"{value['name']} {_done(before, after)}"
    words: dict[str, Callable[[Any], str]] = {
        "name": str, "instrument": instrument_name, "chair": str, "players": str,
        "start": lambda start: f"{start['level']:.1f}",
    }  # fmt: skip
    labels = {"start": "starting level"}
    moved = [
        f"{labels.get(name, name)} now {say(after[name])} (was {say(before[name])})"
        for name, say in words.items()
        if after[name] != before[name]
    ]
    return f"{before['name']}: {listed(moved)}"


def _seat_phrase(before: Mapping[str, Any] | None, after: Mapping[str, Any] | None) -> str:
    value = after or before or {}
    who, where = value.get("who", "a player"), value.get("section_name") or "a section"
    if not before or not after:
        return f"{who} {'added to' if after else 'taken out of'} {where}"
    parts = []
    if before["section"] != after["section"]:
        parts.append(f"now in {where} (was in {before.get('section_name') or 'another section'})")
    if before["joined"] != after["joined"]:
        parts.append(f"first day now {_day(after['joined'])} (was {_day(before['joined'])})")
    if before["left"] != after["left"]:
        parts.append(f"last day now {_day(after['left'], 1)} (was {_day(before['left'], 1)})")
    return f"{who} in {where}: {listed(parts)}" if parts else f"{who} changed"


def _day(text: str | None, back: int = 0) -> str:
    return full_date(date.fromisoformat(text) - timedelta(days=back)) if text else "open"


def _met_text(change: Change) -> str:
    new = [value for value in change.after.values() if value]
    gone = [change.before[name] for name, value in change.after.items() if not value]
    return "; ".join(
        f"{_pieces(values)} {done}"
        for values, done in ((new, "met"), (gone, "no longer counted as met"))
        if values
    )


def _pieces(values: Sequence[Mapping[str, Any]]) -> str:
    if len(values) > NAMED_ONE_BY_ONE:
        return count_of(len(values), "piece")
    return listed([f"“{value['title']}”" for value in values])


def lost_text(
    *, sections: int = 0, players: int = 0, terms: int = 0, results: int = 0, days: int = 0,
    exposures: int = 0, marks: int = 0,
) -> str:  # fmt: skip
    """What would be lost with an ensemble; empty when it is bare.

    Example:
        >>> lost_text(sections=2, players=1, results=5, days=3)
        '2 sections, 1 player and 5 results of 3 days'
    """
    named = [
        count_of(sections, "section") if sections else "",
        count_of(players, "player") if players else "",
        count_of(terms, "term") if terms else "",
        f"{count_of(results, 'result')} of {count_of(days, 'day')}" if results else "",
        f"{count_of(exposures, 'entry', 'entries')} of what it has met" if exposures else "",
        count_of(marks, "mark") if marks else "",
    ]
    return listed([each for each in named if each])


def saved_sections_text(changed: int, new: int) -> str:
    """What saving a table of sections did.

    Example:
        >>> saved_sections_text(2, 1), saved_sections_text(0, 0)
        ('Saved: 2 sections changed and 1 section added.', 'Nothing was changed.')
    """
    done = [
        f"{count_of(number, 'section')} {what}"
        for number, what in ((changed, "changed"), (new, "added"))
        if number
    ]
    return f"Saved: {listed(done)}." if done else "Nothing was changed."


def saved_players_text(renamed: int, moved: int, days: int, out: int) -> str:
    """What saving a table of players did.

    Example:
        >>> saved_players_text(0, 2, 1, 0)
        'Saved: 2 players moved and 1 player with other days.'
    """
    done = [
        f"{count_of(number, 'player')} {what}"
        for number, what in (
            (renamed, "renamed"), (moved, "moved"), (days, "with other days"), (out, "taken out")
        )
        if number
    ]  # fmt: skip
    return f"Saved: {listed(done)}." if done else "Nothing was changed."


def roster_counts_text(counts: Mapping[str, int], missing: int) -> str:
    """What would become of a roster, in a line.

    Example:
        >>> roster_counts_text({"new": 58, "same": 2, "refused": 1}, 3)
        '58 new, 2 unchanged and 1 refused. 3 players here are not in the list; they stay.'
    """
    counted = [
        f"{counts[kind]} {what}"
        for kind, what in (
            ("new", "new"), ("changed", "changed"), ("same", "unchanged"),
            ("asked", "with a name known already"), ("refused", "refused"),
        )
        if counts.get(kind)
    ]  # fmt: skip
    stay = "it stays" if missing == 1 else "they stay"
    more = f" {count_of(missing, 'player')} here {'is' if missing == 1 else 'are'} not in the list; {stay}."
    return f"{listed(counted)}.{more if missing else ''}"


def roster_taken_text(new: int, changed: int, moved: int, sections: Sequence[str], refused: int) -> str:
    """What taking a roster did.

    Example:
        >>> roster_taken_text(2, 0, 0, ["Horn"], 1)
        'Stored: 2 players added and 1 section made (Horn). 1 line was left out.'
    """
    done = [
        f"{count_of(number, 'player')} {what}"
        for number, what in ((new, "added"), (changed, "with other days"), (moved, "moved"))
        if number
    ]
    if sections:
        done.append(f"{count_of(len(sections), 'section')} made ({some_of(sections)})")
    left = f" {count_of(refused, 'line')} {'was' if refused == 1 else 'were'} left out." if refused else ""
    return (f"Stored: {listed(done)}." if done else "Nothing was new in that list.") + left


def answer_words(places: Sequence[str], *, moves: bool) -> str:
    """One way to take a row whose name is known already.

    Example:
        >>> answer_words(["Flute of Band"], moves=True), answer_words([], moves=False)
        ('The same person, who moves from Flute of Band', 'Someone else of that name')
        >>> answer_words(["Flute of Jazz Band"], moves=False)
        'The same person, also in Flute of Jazz Band'
    """
    if not places:
        return "Someone else of that name"
    where = listed(list(dict.fromkeys(places)))
    return f"The same person, who moves from {where}" if moves else f"The same person, also in {where}"


def noted_text(new: int, known: int) -> str:
    """What noting several pieces did.

    Example:
        >>> noted_text(3, 1)
        'Noted: 3 pieces. 1 was noted already.'
    """
    again = f" {known} {'was' if known == 1 else 'were'} noted already." if known else ""
    return (f"Noted: {count_of(new, 'piece')}." if new else "Nothing was new.") + again


def withdrawn_text(count: int) -> str:
    """What withdrawing entries did.

    Example:
        >>> withdrawn_text(1)
        'Withdrawn: 1 entry.'
    """
    return f"Withdrawn: {count_of(count, 'entry', 'entries')}."


def group_name(exposure: Exposure, ensembles: Sequence[Ensemble], people: Mapping[int, str]) -> str:
    """Who has met a piece: the ensemble, a section of it, or a player by name.

    Example:
        >>> group_name(Exposure(1, 7, "heard", person=3), [Ensemble(1, "Band")], {3: "Ida"})
        'Ida'
    """
    if exposure.person is not None:
        return people.get(exposure.person, "a player")
    ensemble = next((each for each in ensembles if each.id == exposure.ensemble_id), None)
    if ensemble is None:
        return "another ensemble"
    section = next((each for each in ensemble.sections if each.id == exposure.section_id), None)
    return f"{section.name} of {ensemble.name}" if section else ensemble.name


def there_words(present: int | None) -> str:
    """How many of those here now were there when a piece was met.

    Example:
        >>> there_words(1), there_words(None)
        ('1 player here now was there', 'players not known by name may have been there')
    """
    if present is None:
        return "players not known by name may have been there"
    return f"{count_of(present, 'player')} here now {'was' if present == 1 else 'were'} there"


def known_sentence(note: str, there: str | None) -> str:
    """Why a piece is not fresh, with how many of those here were there.

    Example:
        >>> known_sentence("Band performed it on May 2, 2026.", "12 players here now were there")
        'Band performed it on May 2, 2026: 12 players here now were there.'
    """
    return f"{note.removesuffix('.')}: {there}." if there else note


def fresh_again_sentence(fresh_from: date | None, unnamed: Sequence[str], last_days: int) -> str:
    """When a piece will be fresh again, or what stands in the way.

    Args:
        fresh_from: First day on which nobody who can know it is left.
        unnamed: Sections with players not known by name.
        last_days: How many players have a last day.

    Example:
        >>> fresh_again_sentence(date(2027, 6, 12), (), 9)
        'It will be fresh from June 12, 2027 on, when those who can know it have left.'
        >>> fresh_again_sentence(None, ("Flute",), 9)
        'It stays known: Flute has players not known by name, who count as having been there.'
    """
    if fresh_from is not None:
        return f"It will be fresh from {full_date(fresh_from)} on, when those who can know it have left."
    if unnamed:
        have = "has" if len(unnamed) == 1 else "have"
        return (
            f"It stays known: {some_of(unnamed)} {have} players not known by name, "
            "who count as having been there."
        )
    if not last_days:
        return "It stays known as long as no player has a last day."
    return "It stays known: some who can know it have no last day."
