"""Reports of a term: of a section, of a player, and for the head of the school; on a page and as a sheet."""

from dataclasses import dataclass

from flask import Blueprint, render_template, url_for
from flask.wrappers import Response
from markupsafe import Markup

from planner.adapters.drawing.report_charts import draw, legend_of
from planner.adapters.web.context import own_sections, reading, sees_all, term_shown, terms_in_view, tools
from planner.adapters.web.download import as_download
from planner.adapters.web.svg import svg_of
from planner.core.ensemble import Player, Section
from planner.core.freshness import is_present
from planner.core.term import Term
from planner.services.ports.work import UnitOfWork
from planner.services.reports.player_report import player_report
from planner.services.reports.publish import publish_report
from planner.services.reports.section_report import section_report
from planner.services.reports.term_report import term_report
from planner.services.reports.views import Picture, ReportPart, ReportView

pages = Blueprint("reports", __name__, url_prefix="/reports/<int:term_id>")

WIDE, NARROW = 980, 360
"""Widths of pictures in pixels: of a page, of a telephone."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A part of a report with its picture for a wide page and for a narrow one."""

    part: ReportPart
    wide: Markup | None = None
    narrow: Markup | None = None
    legend: str = ""


@pages.get("/")
def listing(term_id: int) -> str:
    """The reports there are to open: a section leader's own."""
    term, ensemble = term_shown(term_id)
    only = own_sections()
    return render_template(
        "reports/list.html",
        ensemble=ensemble,
        term=term,
        terms=terms_in_view(),
        sections=[section for section in ensemble.sections if only is None or section.id in only],
        players={section.id: _players(section, term) for section in ensemble.sections},
        sees_all=sees_all(),
    )


def _players(section: Section, term: Term) -> list[Player]:
    """Those who sat in a section at some time of a term."""
    return [player for player in section.players if is_present(player, term.first, term.last)]


@pages.get("/section/<int:section_id>")
def section(term_id: int, section_id: int) -> str:
    """A section's term."""
    file = url_for("reports.download_section", term_id=term_id, section_id=section_id)
    beside = url_for("sections.level", section_id=section_id, term=term_id)
    return _page(term_id, _section(term_id, section_id), file, beside)


@pages.get("/player/<int:seat_id>")
def player(term_id: int, seat_id: int) -> str:
    """A player's term."""
    file = url_for("reports.download_player", term_id=term_id, seat_id=seat_id)
    beside = url_for("gradebook.player", term_id=term_id, seat_id=seat_id)
    return _page(term_id, _player(term_id, seat_id), file, beside)


@pages.get("/term")
def term(term_id: int) -> str:
    """The term for the head of the school."""
    return _page(term_id, _term(term_id), url_for("reports.download_term", term_id=term_id), "")


def _section(term_id: int, section_id: int) -> ReportView:
    return section_report(_reading(term_id), term_id, section_id, tools().today())


def _player(term_id: int, seat_id: int) -> ReportView:
    return player_report(_reading(term_id), term_id, seat_id, tools().today(), only=own_sections())


def _term(term_id: int) -> ReportView:
    return term_report(_reading(term_id), term_id, tools().today())


def _reading(term_id: int) -> UnitOfWork:
    """What a report is read with, the term and its ensemble known already: they are not asked for again.

    Raises:
        NotFoundError: If there is no such term.
    """
    term_shown(term_id)
    return reading()


def _page(term_id: int, view: ReportView, file: str, beside: str) -> str:
    """A report as a page.

    Args:
        term_id: Of which term.
        view: What it holds.
        file: The address of the printed sheet.
        beside: The address of the page that shows the same day by day; empty for none.
    """
    shown, ensemble = term_shown(term_id)
    return render_template(
        "reports/show.html",
        ensemble=ensemble,
        term=shown,
        view=view,
        parts=[_drawn(part) for part in view.parts],
        file=file,
        beside=beside,
    )


def _drawn(part: ReportPart) -> Drawn:
    if part.picture is None:
        return Drawn(part)
    picture: Picture = part.picture
    return Drawn(part, svg_of(draw(picture, WIDE)), svg_of(draw(picture, NARROW)), legend_of(picture))


@pages.get("/section/<int:section_id>.pdf")
def download_section(term_id: int, section_id: int) -> Response:
    """A section's term as a printed sheet."""
    return _printed(term_id, _section(term_id, section_id))


@pages.get("/player/<int:seat_id>.pdf")
def download_player(term_id: int, seat_id: int) -> Response:
    """A player's term as a printed sheet."""
    return _printed(term_id, _player(term_id, seat_id))


@pages.get("/term.pdf")
def download_term(term_id: int) -> Response:
    """The term for the head of the school as a printed sheet."""
    return _printed(term_id, _term(term_id))


def _printed(term_id: int, view: ReportView) -> Response:
    return as_download(
        lambda shelf: publish_report(reading(), tools().report_writer, view, term_id=term_id, exports=shelf)
    )
