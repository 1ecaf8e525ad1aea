"""The contents line of the pages, and links that lead on."""

from dataclasses import dataclass

from flask import request, url_for

from planner.adapters.web.access import may
from planner.adapters.web.context import account, ensemble_in_view, sees, sees_all, term_in_view


@dataclass(frozen=True, slots=True)
class PageLink:
    """One entry of the contents line."""

    label: str
    href: str
    is_current: bool


def navigation() -> list[PageLink]:
    """The contents line, with the current page marked."""
    if account() is None:
        return []
    term = term_in_view()
    of_term = "term.show" if term else "term.new"
    pages = [
        ("Today", "today.show", {}),
        ("Library", "library.pieces", {}),
        ("Sections", "sections.listing", {}),
        ("Match", "match.show", {}),
        ("Term", of_term, {"term_id": term.id} if term else {}),
        *(() if sees_all() else _own_sections()),
        ("Gradebook", "gradebook.show", {}),
    ]
    within = {
        "day": "term",
        "attendance": "term",
        "scoring_form": "term",
        "results": "term",
        "term_days": "term",
        "plan": "term",
        "read_in": "term",
        "sheet": "term",
        "levels": "library",
        "imports": "library",
        "catalogue": "library",
        "alike": "library",
        "lists": "library",
        "many": "library",
        "score": "library",
        "beat": "library",
        "reports": "gradebook",
        "school_file": "gradebook",
        **dict.fromkeys(("players", "person", "met", "ensembles"), "sections"),
    }
    here = within.get(request.blueprint or "", request.blueprint)
    return [
        PageLink(label, url_for(name, **named), _is_here(name, named, here))
        for label, name, named in pages
        if may(name)
    ]


def _own_sections() -> list[tuple[str, str, dict[str, int]]]:
    ensemble = ensemble_in_view()
    sections = ensemble.sections if ensemble else ()
    return [(s.name, "sections.level", {"section_id": s.id}) for s in sections if sees(s.id)]


def _is_here(name: str, named: dict[str, int], here: str | None) -> bool:
    """Whether an entry of the contents line is the page that is shown, or the one it belongs to."""
    is_one_of_several = "section_id" in named
    return name.split(".")[0] == here and (not is_one_of_several or named == request.view_args)
