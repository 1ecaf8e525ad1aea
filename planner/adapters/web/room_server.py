"""A server for the room: every page over TLS, with the home's own certificate."""

import socket
import time
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from cheroot.errors import FatalSSLAlert
from cheroot.server import HTTPConnection
from cheroot.ssl.builtin import BuiltinSSLAdapter
from cheroot.wsgi import Server
from flask import Flask

from planner.services.ports.access import ServerCertificate

_THREADS = 32
"""Browsers hold connections open beside the one they use. House choice: a band's phones at once."""
_LOOK_EVERY_S = 3600.0
"""How often it is looked whether the certificate is to be made anew."""
_PLAIN = (
    b"HTTP/1.1 400 Bad Request\r\nContent-Type: text/plain; charset=utf-8\r\nConnection: close\r\n\r\n"
    b"These pages are encrypted: put https:// in front of the address.\n"
)


def make_room_server(
    app: Flask, host: str, port: int, certificate: Callable[[], ServerCertificate]
) -> Server:
    """A server that holds its address already and answers once it is started.

    Args:
        app: The pages.
        host: Address to serve on.
        port: Port to serve on.
        certificate: The one to show; asked again from time to time, as it may be made anew.

    Raises:
        OSError: If address or port cannot be used.
    """
    server = Server((host, port), app, numthreads=_THREADS, server_name="", request_queue_size=128)
    server.ConnectionClass = _Connection
    server.ssl_adapter = _Tls(certificate)
    server.prepare()
    return server


class _Tls(BuiltinSSLAdapter):
    """TLS whose greeting is left to the thread that serves a connection: a slow browser holds up nobody."""

    def __init__(self, certificate: Callable[[], ServerCertificate]) -> None:
        self._ask, self._shown = certificate, certificate()
        self._looked_s = time.monotonic()
        super().__init__(str(self._shown.certificate), str(self._shown.key))

    def wrap(self, sock: Any) -> tuple[Any, dict[str, str]]:
        """The connection, not yet greeted, and what its requests say of it."""
        if time.monotonic() - self._looked_s > _LOOK_EVERY_S:
            self._look_again()
        try:
            secured = self.context.wrap_socket(sock, server_side=True, do_handshake_on_connect=False)
        except OSError as error:
            raise FatalSSLAlert(*error.args) from error
        return secured, {"wsgi.url_scheme": "https", "HTTPS": "on"}

    def _look_again(self) -> None:
        """Show the certificate of now to whoever comes next."""
        self._looked_s = time.monotonic()
        now = self._ask()
        if now.fingerprint != self._shown.fingerprint:
            self.context.load_cert_chain(now.certificate, now.key)
            self._shown = now


class _Connection(HTTPConnection):
    """A connection that is greeted when it is first served."""

    _is_greeted = False

    def communicate(self) -> bool:
        """Serve one request; whether the connection stays open."""
        if not self._is_greeted:
            try:
                self.socket.do_handshake()
            except (OSError, ValueError) as error:
                if getattr(error, "reason", "") == "HTTP_REQUEST":
                    with suppress(OSError):  # past the encryption, which this browser does not speak
                        socket.socket.sendall(self.socket, _PLAIN)
                return False
            self._is_greeted = True
        return bool(super().communicate())  # type: ignore[no-untyped-call]

    def close(self) -> None:
        """Close it; one that a browser broke off is closed as well, and never ends the server."""
        with suppress(OSError, ValueError):
            super().close()
