"""A player's sheet on the screen of a tablet or a phone."""

from base64 import b64encode

from flask import Blueprint, abort, render_template

from planner.adapters.web.context import reading, tools
from planner.adapters.web.own_guides import own_section_ids
from planner.services.day.read_day import read_day
from planner.services.sheets.make_guides import part_sheet, parts_read
from planner.services.term.terms import parse_date
from planner.wording.player_sheet import (
    AFTER_FIRST_READING,
    DYNAMICS_HEADING,
    QUESTIONS_HEADING,
    START_LABELS,
)

pages = Blueprint("sheet", __name__, url_prefix="/term/<int:term_id>/<on>/sheet")


@pages.get("/<int:piece_id>/<int:part>")
def show(term_id: int, on: str, piece_id: int, part: int) -> str:
    """The sheet of one part; a section leader sees those of their own sections."""
    day = parse_date(on)
    shown = read_day(reading(), term_id, day)
    section_ids = own_section_ids()
    if section_ids is not None:
        own = parts_read(shown, section_ids)
        if part not in dict(own.get(piece_id, ())):
            abort(403)
    view = part_sheet(
        reading(), tools().files, tools().engraver, term_id=term_id, on=day, piece_id=piece_id, part=part,
        today=tools().today(),
    )  # fmt: skip
    return render_template(
        "day/sheet.html",
        ensemble=shown.ensemble,
        term=shown.term,
        view=view,
        labels=START_LABELS,
        dynamics_heading=DYNAMICS_HEADING,
        questions_heading=QUESTIONS_HEADING,
        after=AFTER_FIRST_READING,
        drawing=lambda svg: f"data:image/svg+xml;base64,{b64encode(svg.encode()).decode()}",
    )
