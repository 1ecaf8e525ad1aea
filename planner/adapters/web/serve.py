"""Serving the pages with a real server: to this machine alone, or to the room where people log in."""

import gc
import logging
from collections.abc import Callable
from contextlib import suppress

from waitress import create_server

from planner.adapters.web.access import is_this_machine
from planner.adapters.web.app import as_host, create_app
from planner.adapters.web.own_names import is_every_address, own_names
from planner.adapters.web.room_server import make_room_server
from planner.core.change import Author, Door
from planner.errors import HomeError, InputError
from planner.services.jobs.kinds import KINDS
from planner.services.jobs.worker import Worker
from planner.services.levels.index import index_the_rest
from planner.services.library.restudy import start_restudy
from planner.services.ports.access import ServerCertificate
from planner.services.toolbox import Toolbox, changing

_log = logging.getLogger(__name__)

_THREADS = 12
"""Twice what drawings can hold up at a time, so that other pages are always answered. House choice."""

_TAKEN = "it is taken, or no address of this machine"


def serve_pages(tools: Toolbox, announce: Callable[[str], None]) -> None:
    """Serve until stopped by the keyboard, long work going on beside the pages.

    This machine alone is served as it is, the room over TLS and to people with accounts.

    Args:
        tools: Services' ports, wired to a home folder.
        announce: Is given the lines that say where the pages are, once they are there.

    Raises:
        InputError: If the room is to be served and there are no accounts, or the address cannot be used.
    """
    host, port = tools.settings.host, tools.settings.port
    try:
        run = _to_this_machine(tools, announce) if is_this_machine(host) else _to_the_room(tools, announce)
    except OSError as error:
        raise InputError(
            f"{as_host(host)}, port {port}, cannot be used: {(error.strerror or _TAKEN).lower()}.",
            hint="Choose another with --host and --port.",
        ) from error
    _bring_up_to_date(tools)
    settle_memory()
    with Worker(tools, KINDS), suppress(KeyboardInterrupt):
        run()


def settle_memory() -> None:
    """Keep all that lives as long as the server out of what is looked through for garbage.

    Looking through it took longer than most pages, and always in the middle of one.
    """
    gc.collect()
    gc.freeze()


def _bring_up_to_date(tools: Toolbox) -> None:
    """Do what a library of an older program lacks; one that cannot be opened has pages that say so."""
    try:
        with changing(tools.work) as work:
            index_the_rest(work)
            start_restudy(work, Author(Door.PAGE, tools.now()), is_asked_for=False)
    except HomeError as error:
        _log.warning("%s", error)


def _to_this_machine(tools: Toolbox, announce: Callable[[str], None]) -> Callable[[], None]:
    host, port = tools.settings.host, tools.settings.port
    server = create_server(create_app(tools), host=host, port=port, threads=_THREADS, ident=None)
    announce(f"The pages are at http://{as_host(host)}:{port} — stop with Ctrl-C.")
    run: Callable[[], None] = server.run
    return run


def _to_the_room(tools: Toolbox, announce: Callable[[str], None]) -> Callable[[], None]:
    host, port = tools.settings.host, tools.settings.port
    with tools.work() as work:
        if not work.accounts.is_any():
            raise InputError(
                f"The pages hold players' records: on {host} they are served only to people with accounts.",
                hint="Add yourself first, with “planner access add” or on the page “People with access”.",
            )
    names = own_names(host)

    def certificate() -> ServerCertificate:
        return tools.certificates.make_ready(names, tools.now())

    shown = certificate()
    server = make_room_server(create_app(tools, names, is_secure=True), host, port, certificate)
    from_elsewhere = (
        [name for name in names if not is_this_machine(name)] if is_every_address(host) else [host]
    )
    announce("The pages are at " + ", ".join(f"https://{as_host(name)}:{port}" for name in from_elsewhere))
    announce(f"Their certificate has the SHA-256 fingerprint {shown.fingerprint}.")
    announce("Stop with Ctrl-C.")

    def run() -> None:
        try:
            server.serve()
        finally:
            server.stop()

    return run
