"""The command that shows the director's desk: the next day, the week, whom to watch, what waits."""

from typing import Any

import click

from planner.adapters.cli.context import (
    Session,
    format_option,
    home_option,
    out,
    pick_ensemble,
    pick_term,
    print_json,
    term_options,
)
from planner.services.day.read_day import DayView
from planner.services.desk.notes import wait_notes, watch_notes
from planner.services.desk.read_desk import Desk, read_desk
from planner.services.desk.week import WeekDay
from planner.services.sheets.files import find_guides
from planner.wording.guide import first_tempo_words
from planner.wording.study.roadmap import spoken_roadmap
from planner.wording.words import full_day, key, long_day


@click.command()
@term_options
@format_option
@home_option
@click.pass_obj
def today(session: Session, ensemble_name: str | None, term_name: str | None, form: str) -> None:
    """Show what is on the desk: the next reading day, the week, sections to watch, what waits."""
    tools = session.tools
    with tools.work() as work:
        ensemble = pick_ensemble(work, ensemble_name)
        has_term = bool(term_name or work.terms.list_terms(ensemble.id))
        term = pick_term(work, ensemble, term_name, tools.today()) if has_term else None
        desk = read_desk(work, tools.locks, ensemble, term, tools.today())
        found = find_guides(tools.exports, work, term, desk.next_day.on) if term and desk.next_day else []
        packets = [str(path) for path in found if path.stem == "packet"]
    if form == "json":
        print_json(_as_json(desk, len(ensemble.sections), packets))
        return
    for line in _lines(desk, len(ensemble.sections), packets):
        out.print(line, markup=False)


def _lines(desk: Desk, sections: int, packets: list[str]) -> list[str]:
    if desk.term is None:
        return ["No term yet. Set one: planner plan --first DATE --last DATE --weekday tue."]
    waits = [f"  {note.text}" for note in wait_notes(desk)] or ["  Nothing."]
    watch = [f"  {note.text}" for note in watch_notes(desk.watch, sections)] or [
        "  Nothing out of the ordinary."
    ]
    ahead = [f"  {long_day(day.on)}: {', '.join(day.titles)}" for day in desk.ahead]
    return [
        *_next_lines(desk, packets),
        "This week:", *(f"  {_week_line(day, desk)}" for day in desk.week),
        "What waits:", *waits,
        "Sections to watch:", *watch,
        *(["After that:", *ahead] if ahead else []),
    ]  # fmt: skip


def _next_lines(desk: Desk, packets: list[str]) -> list[str]:
    view = desk.next_day
    if view is None:
        return [f"{desk.term.name if desk.term else ''} has no reading day ahead."]
    when = "Today" if view.on == desk.today else "Next reading day"
    return [
        f"{when}: {full_day(view.on)}",
        *(line for each in _pieces(view) for line in _piece_lines(each)),
        *(f"  Guides for every part: {path}" for path in packets),
    ]


def _pieces(view: DayView) -> list[dict[str, Any]]:
    return [
        {
            "title": slot.piece.title, "focus": slot.slot.focus, "featured": slot.featured,
            "meters": list(slot.piece.time_signatures if slot.piece.is_on_paper else slot.piece.meters),
            "key": slot.piece.home_key,
            "roadmap": "" if slot.piece.is_on_paper else spoken_roadmap(slot.profile) or "straight through",
            "first_reading": "" if slot.piece.is_on_paper else first_tempo_words(slot.profile.tempo_bpm),
            "minutes": slot.slot.minutes, "rooms": slot.rooms,
        }
        for slot in view.slots
    ]  # fmt: skip


def _piece_lines(each: dict[str, Any]) -> list[str]:
    leading = f"; {each['featured']} leading" if each["featured"] else ""
    named = [("key", key(each["key"]) if each["key"] else ""), ("roadmap", each["roadmap"]),
             ("first reading", each["first_reading"])]  # fmt: skip
    about = "; ".join([", ".join(each["meters"]), *(f"{name} {text}" for name, text in named if text)])
    return [
        f"  {each['title']}: {each['focus']}{leading}, about {round(each['minutes'])} minutes",
        f"    {about}",
    ]


def _week_line(day: WeekDay, desk: Desk) -> str:
    if day.is_reading_day:
        text = ", ".join(day.titles) or "nothing planned yet"
        text += " (results are in)" if day.has_results else ""
    elif day.is_off:
        text = "day off"
    else:
        text = "not in the term" if day.is_outside else "no reading"
    concert = "concert; " if day.is_concert else ""
    return f"{long_day(day.on)}{' (today)' if day.on == desk.today else ''}: {concert}{text}"


def _as_json(desk: Desk, sections: int, packets: list[str]) -> dict[str, Any]:
    view = desk.next_day
    return {
        "format": "desk", "version": 1, "today": desk.today, "term": desk.term.name if desk.term else None,
        "next_day": None if view is None else {"on": view.on, "pieces": _pieces(view), "packets": packets},
        "week": [
            {"on": day.on, "reads": day.is_reading_day, "pieces": list(day.titles), "off": day.is_off,
             "concert": day.is_concert, "results": day.has_results}
            for day in desk.week
        ],
        "waits": [note.text for note in wait_notes(desk)],
        "watch": [note.text for note in watch_notes(desk.watch, sections)],
        "after": [{"on": day.on, "pieces": list(day.titles)} for day in desk.ahead],
    }  # fmt: skip


COMMANDS = (today,)
