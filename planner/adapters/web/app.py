"""The pages: one factory that wires blueprints, filters and error pages to a toolbox."""

from collections.abc import Sequence

from flask import Flask, request
from flask_wtf import CSRFProtect
from werkzeug.routing import IntegerConverter, Map

from planner import __version__
from planner.adapters.web import access, context, errors, filters
from planner.adapters.web.first_steps import next_step
from planner.adapters.web.navigation import navigation
from planner.adapters.web.pages import (
    accounts,
    alike,
    attendance,
    backups,
    beat,
    catalogue,
    changes,
    day,
    gradebook,
    imports,
    jobs,
    levels,
    library,
    lists,
    many,
    match,
    plan,
    read_in,
    reports,
    results,
    room,
    school_file,
    score,
    scoring_form,
    sheet,
    sign_in,
    term,
    term_days,
    today,
)
from planner.adapters.web.pages.people import ensembles, met, person, players, sections
from planner.config import packaged
from planner.services.toolbox import Toolbox

UPLOAD_LIMIT_BYTES = 200 * 1024 * 1024
_BLUEPRINTS = (
    today, library, score, lists, many, catalogue, alike, imports, levels, sections, players, person, met,
    ensembles, match, term, term_days, plan, day, sheet, results, attendance, gradebook, jobs, changes,
    backups, sign_in, accounts, reports, read_in, school_file, room, beat, scoring_form,
)  # fmt: skip


class _Number(IntegerConverter):
    """The number of something stored, in an address: no larger than a library can hold."""

    def __init__(self, map: Map) -> None:
        super().__init__(map, max=2**31 - 1)


def create_app(tools: Toolbox, names: Sequence[str] = (), *, is_secure: bool = False) -> Flask:
    """The application over a wired toolbox.

    Pages answer only to the names of this machine, load nothing from other hosts, every form carries a token,
    and every request passes the door of ``access``.

    Args:
        tools: Services' ports, wired to a home folder.
        names: Further names and addresses of this machine under which the room opens the pages.
        is_secure: They are served over TLS alone, and so are the cookies.
    """
    app = Flask(__name__, template_folder=str(packaged("templates")), static_folder="static")
    app.config.update(
        SECRET_KEY=tools.keys.session_key(),
        SESSION_COOKIE_NAME="__Host-session" if is_secure else "session",
        SESSION_COOKIE_SECURE=is_secure,
        SESSION_COOKIE_SAMESITE="Strict",
        SESSION_COOKIE_HTTPONLY=True,
        MAX_CONTENT_LENGTH=UPLOAD_LIMIT_BYTES,
        MAX_FORM_PARTS=5000,
        TRUSTED_HOSTS=["localhost", "127.0.0.1", "[::1]", *map(as_host, (tools.settings.host, *names))],
    )
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    app.extensions["toolbox"] = tools
    app.url_map.converters["int"] = _Number
    context.register(app)
    access.register(app)
    CSRFProtect(app)
    filters.register(app)
    errors.register(app)
    for module in _BLUEPRINTS:
        app.register_blueprint(module.pages)
    app.context_processor(_for_every_page)
    app.after_request(_harden)
    return app


def _harden(response):  # type: ignore[no-untyped-def]
    response.headers["Content-Security-Policy"] = (
        "default-src 'self'; img-src 'self' data:; style-src 'self' 'unsafe-inline'; "
        "form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
    )
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Referrer-Policy"] = "same-origin"
    if request.endpoint != "static" and not response.cache_control.private:
        response.headers["Cache-Control"] = "no-store"  # names and results stay out of caches
    return response


def as_host(name: str) -> str:
    """A name or address as it stands in an address of a page.

    Example:
        >>> as_host("10.0.0.7"), as_host("fe80::1")
        ('10.0.0.7', '[fe80::1]')
    """
    return f"[{name}]" if ":" in name else name


def _for_every_page() -> dict[str, object]:
    return {
        "nav": navigation(), "version": __version__, "visitor": context.account(),
        "has_accounts": context.has_accounts(), "next_step": next_step,
    }  # fmt: skip
