"""The pages served to the room: TLS with the own certificate, and nobody held up by a slow browser."""

import http.client
import socket
import ssl
import threading
from contextlib import contextmanager
from dataclasses import replace

import pytest

from planner.adapters.web.app import create_app
from planner.adapters.web.own_names import own_names
from planner.adapters.web.room_server import make_room_server
from planner.adapters.web.serve import serve_pages
from planner.errors import InputError
from tests.adapters.web.accounts import add_people

HOST = "127.0.0.1"


@contextmanager
def served(tools):
    names = own_names(HOST)
    certificate = tools.certificates.make_ready(names, tools.now())
    app = create_app(tools, names, is_secure=True)
    server = make_room_server(app, HOST, 0, lambda: tools.certificates.make_ready(names, tools.now()))
    thread = threading.Thread(target=server.serve, daemon=True)
    thread.start()
    try:
        yield server.bind_addr[1], certificate
    finally:
        server.stop()
        thread.join(timeout=10)


def ask(port, certificate, path="/log-in", host="localhost"):
    """A page as a browser gets it that trusts this certificate and no other."""
    context = ssl.create_default_context(cafile=certificate.certificate)
    connection = http.client.HTTPSConnection(host, port, context=context, timeout=20)
    try:
        connection.request("GET", path)
        answer = connection.getresponse()
        return answer.status, answer.read().decode(), answer.headers
    finally:
        connection.close()


def test_the_room_is_served_over_tls_and_a_slow_browser_holds_up_nobody(tools):
    add_people(tools)
    with served(tools) as (port, certificate):
        silent = [socket.create_connection((HOST, port), timeout=20) for _ in range(4)]
        for host in ("localhost", HOST):
            status, page, headers = ask(port, certificate, host=host)
            assert status == 200
            assert "<h1>Log in</h1>" in page
            assert headers["Cache-Control"] == "no-store"
        status, _, headers = ask(port, certificate, "/library/")
        assert (status, headers["Location"]) == (302, "/log-in?to=/library/")
        for one in silent:
            one.close()
        plain = socket.create_connection((HOST, port), timeout=20)
        plain.sendall(b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n")
        assert b"put https:// in front of the address" in plain.recv(4096)
        plain.close()
        assert ask(port, certificate)[0] == 200, "and the server goes on"


def test_nothing_older_than_tls_1_2_is_spoken(tools):
    add_people(tools)
    old = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    old.check_hostname, old.verify_mode = False, ssl.CERT_NONE
    old.maximum_version = ssl.TLSVersion.TLSv1_1
    with served(tools) as (port, certificate):
        with (
            socket.create_connection((HOST, port), timeout=20) as bare,
            pytest.raises(OSError, match=r"SSL|TLS"),
        ):
            old.wrap_socket(bare)
        assert ask(port, certificate)[0] == 200, "and the server goes on"


def test_the_room_is_told_where_the_pages_are_and_how_to_know_them(tools, monkeypatch):
    add_people(tools)
    tools.settings = replace(tools.settings, host="192.0.2.7", port=8765)
    made, lines = [], []

    class Server:
        def serve(self):
            raise KeyboardInterrupt

        def stop(self):
            made.append("stopped")

    def make(app, host, port, _certificate):
        made.append(
            (host, port, app.config["SESSION_COOKIE_SECURE"], "192.0.2.7" in app.config["TRUSTED_HOSTS"])
        )
        return Server()

    monkeypatch.setattr("planner.adapters.web.serve.make_room_server", make)
    serve_pages(tools, lines.append)
    assert made == [("192.0.2.7", 8765, True, True), "stopped"]
    fingerprint = tools.certificates.find().fingerprint
    assert lines == [
        "The pages are at https://192.0.2.7:8765",
        f"Their certificate has the SHA-256 fingerprint {fingerprint}.",
        "Stop with Ctrl-C.",
    ]


def test_an_address_that_cannot_be_used_is_told(tools, monkeypatch):
    add_people(tools)
    tools.settings = replace(tools.settings, host="192.0.2.7", port=8765)

    def refuse(*_):
        raise OSError("No socket could be created")

    monkeypatch.setattr("planner.adapters.web.serve.make_room_server", refuse)
    with pytest.raises(InputError) as caught:
        serve_pages(tools, lambda line: pytest.fail(f"announced {line}"))
    assert str(caught.value) == (
        "192.0.2.7, port 8765, cannot be used: it is taken, or no address of this machine. "
        "Choose another with --host and --port."
    )


def test_the_names_hold_the_address_served_on_and_this_machines_own():
    assert {"localhost", "127.0.0.1", "::1", "10.1.2.3"} <= set(own_names("10.1.2.3"))
    everywhere = own_names("0.0.0.0")
    assert "0.0.0.0" not in everywhere
    assert socket.gethostname().lower() in everywhere
