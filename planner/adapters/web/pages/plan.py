"""Pages about the plan of a term: what else could stand on a day, what is proposed, what must be asked."""

from flask import Blueprint

pages = Blueprint("plan", __name__, url_prefix="/term/<int:term_id>")


@pages.get("/breaches")
def breaches(term_id: int) -> str:
    """Planned pieces that somebody in the room knows by now."""
    return ""


@pages.get("/<on>/choices")
def choices(term_id: int, on: str) -> str:
    """What would be next best for one place of a day."""
    return ""


@pages.get("/proposal")
def proposal(term_id: int) -> str:
    """What a new plan would change."""
    return ""
