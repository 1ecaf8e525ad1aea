"""The home's own certificate: whom it holds for, when it is made anew, who can read its key."""

import hashlib
import ssl
import stat
from datetime import UTC, datetime, timedelta

import pytest

from planner.adapters.tls import OwnCertificates
from planner.errors import ExportError

NOW = datetime(2026, 11, 25, 8, tzinfo=UTC)
NAMES = ("localhost", "127.0.0.1", "::1", "Bänd.local", "10.0.0.7")


@pytest.fixture
def own(tmp_path):
    return OwnCertificates(tmp_path / "certificate")


def test_it_holds_for_every_name_and_address_and_its_key_is_private(own):
    assert own.find() is None
    made = own.make_ready(NAMES, NOW)
    assert set(made.names) == {"localhost", "127.0.0.1", "::1", "xn--bnd-qla.local", "10.0.0.7"}
    for path in (made.key, made.certificate):
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(made.key.parent.stat().st_mode) == 0o700
    assert not [path for path in made.key.parent.iterdir() if path.name.startswith(".")]


def test_the_fingerprint_is_that_of_the_bytes_a_browser_gets(own):
    made = own.make_ready(NAMES, NOW)
    der = ssl.PEM_cert_to_DER_cert(made.certificate.read_text())
    assert made.fingerprint == ":".join(f"{byte:02X}" for byte in hashlib.sha256(der).digest())


def test_it_stays_until_a_month_before_its_end(own):
    first = own.make_ready(NAMES, NOW)
    assert timedelta(days=390) < first.until - NOW < timedelta(days=398)
    assert own.make_ready(NAMES[:2], first.until - timedelta(days=31)) == first
    renewed = own.make_ready(NAMES, first.until - timedelta(days=30))
    assert renewed.fingerprint != first.fingerprint
    assert renewed.until > first.until
    assert own.find() == renewed


def test_a_new_address_gets_a_new_certificate(own):
    first = own.make_ready(NAMES, NOW)
    assert own.make_ready((*NAMES, "10.0.0.8"), NOW).fingerprint != first.fingerprint


@pytest.mark.parametrize("name", ["server.key", "server.crt"])
@pytest.mark.parametrize("content", [b"", b"-----BEGIN CERTIFICATE-----\n", b"\xff\x00"])
def test_a_damaged_one_is_made_anew(own, name, content):
    first = own.make_ready(NAMES, NOW)
    (first.key.parent / name).write_bytes(content)
    assert own.find() is None
    again = own.make_ready(NAMES, NOW)
    assert again.fingerprint != first.fingerprint
    ssl.create_default_context(ssl.Purpose.CLIENT_AUTH).load_cert_chain(again.certificate, again.key)


def test_the_key_of_another_certificate_is_noticed(own, tmp_path):
    first, other = own.make_ready(NAMES, NOW), OwnCertificates(tmp_path / "other").make_ready(NAMES, NOW)
    first.key.write_bytes(other.key.read_bytes())
    assert own.find() is None


def test_where_it_cannot_be_written_a_sentence_says_so(tmp_path):
    (tmp_path / "certificate").write_text("a file in the way")
    with pytest.raises(ExportError, match=r"server\.key could not be written"):
        OwnCertificates(tmp_path / "certificate").make_ready(NAMES, NOW)
