"""The pages: one factory that wires blueprints, filters and error pages to a toolbox."""

import secrets
from pathlib import Path

from flask import Flask
from flask_wtf import CSRFProtect

from planner import __version__
from planner.adapters.web import context, errors, filters
from planner.adapters.web.context import navigation
from planner.adapters.web.pages import (
    changes,
    day,
    gradebook,
    jobs,
    levels,
    library,
    match,
    plan,
    term,
    term_days,
    today,
)
from planner.adapters.web.pages.people import ensembles, met, players, sections
from planner.config import packaged
from planner.services.toolbox import Toolbox

UPLOAD_LIMIT_BYTES = 200 * 1024 * 1024
_BLUEPRINTS = (
    today, library, levels, sections, players, met, ensembles, match, term, term_days, plan, day, gradebook,
    jobs, changes,
)  # fmt: skip


def create_app(tools: Toolbox) -> Flask:
    """The application over a wired toolbox.

    Pages answer only to the names of this machine, load nothing from other hosts, and
    every form carries a token.

    Args:
        tools: Services' ports, wired to a home folder.
    """
    app = Flask(__name__, template_folder=str(packaged("templates")), static_folder="static")
    app.config.update(
        SECRET_KEY=_secret_key(tools.settings.home),
        SESSION_COOKIE_SAMESITE="Strict",
        SESSION_COOKIE_HTTPONLY=True,
        MAX_CONTENT_LENGTH=UPLOAD_LIMIT_BYTES,
        MAX_FORM_PARTS=5000,
        TRUSTED_HOSTS=["localhost", "127.0.0.1", "[::1]", tools.settings.host],
    )
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    app.extensions["toolbox"] = tools
    CSRFProtect(app)
    context.register(app)
    filters.register(app)
    errors.register(app)
    for module in _BLUEPRINTS:
        app.register_blueprint(module.pages)
    app.context_processor(lambda: {"nav": navigation(), "version": __version__})
    app.after_request(_harden)
    return app


def _harden(response):  # type: ignore[no-untyped-def]
    response.headers["Content-Security-Policy"] = (
        "default-src 'self'; img-src 'self' data:; style-src 'self' 'unsafe-inline'; "
        "form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
    )
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Referrer-Policy"] = "same-origin"
    return response


def _secret_key(home: Path) -> str:
    """The key that signs session cookies, made once and kept in the home folder."""
    path = home / "session.key"
    if not path.is_file():
        home.mkdir(parents=True, exist_ok=True)
        path.touch(mode=0o600)
        path.write_text(secrets.token_hex(32), encoding="ascii")
    return path.read_text(encoding="ascii")
