"""Serving the pages with a real server, to this machine alone."""

import ipaddress
import logging

from waitress import create_server

from planner.adapters.web.app import create_app
from planner.core.change import Author, Door
from planner.errors import HomeError, InputError
from planner.services.jobs.kinds import KINDS
from planner.services.jobs.worker import Worker
from planner.services.levels.index import index_the_rest
from planner.services.library.restudy import start_restudy
from planner.services.toolbox import Toolbox, changing

_log = logging.getLogger(__name__)

_THREADS = 12
"""Twice what drawings can hold up at a time, so that other pages are always answered. House choice."""


def serve_pages(tools: Toolbox) -> None:
    """Serve until stopped by the keyboard, long work going on beside the pages.

    Raises:
        InputError: If the address is not this machine's own, or the port is taken.
    """
    host, port = tools.settings.host, tools.settings.port
    if not _is_loopback(host):
        raise InputError(
            f"The pages hold players' records and have no sign-in, so they are not served on {host}.",
            hint="Serve them on 127.0.0.1 and open them on this machine.",
        )
    try:
        server = create_server(create_app(tools), host=host, port=port, threads=_THREADS, ident=None)
    except OSError as error:
        raise InputError(
            f"Port {port} cannot be used: {(error.strerror or 'it is taken').lower()}.",
            hint="Choose another with --port.",
        ) from error
    _bring_up_to_date(tools)
    with Worker(tools, KINDS):
        server.run()


def _bring_up_to_date(tools: Toolbox) -> None:
    """Do what a library of an older program lacks; one that cannot be opened has pages that say so."""
    try:
        with changing(tools.work) as work:
            index_the_rest(work)
            start_restudy(work, Author(Door.PAGE, tools.now()), is_asked_for=False)
    except HomeError as error:
        _log.warning("%s", error)


def _is_loopback(host: str) -> bool:
    """Whether an address is reached from this machine alone.

    Example:
        >>> _is_loopback("127.0.0.1"), _is_loopback("0.0.0.0"), _is_loopback("localhost")
        (True, False, True)
    """
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False
