"""A certificate that the home makes for itself: no authority vouches for it, its fingerprint tells it."""

import ipaddress
import os
from collections.abc import Sequence
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import NamedTemporaryFile

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from planner.errors import ExportError
from planner.services.ports.access import ServerCertificate

_LASTS = timedelta(days=397)
"""Source: below the 398 days that browsers accept of public certificates (CA/Browser Forum)."""
_RENEW_BEFORE = timedelta(days=30)
"""How long before its end a certificate is replaced (house choice)."""


class OwnCertificates:
    """``Certificates``: certificate and key in two files of a folder that its owner alone can read."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def find(self) -> ServerCertificate | None:
        """The certificate there is; None before the first, and when certificate or key is damaged."""
        try:
            certificate = x509.load_pem_x509_certificate(self._certificate.read_bytes())
            key = serialization.load_pem_private_key(self._key.read_bytes(), None)
            if key.public_key() != certificate.public_key():
                return None
            held = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
        except (OSError, ValueError, TypeError, x509.ExtensionNotFound):
            return None
        names = [*held.get_values_for_type(x509.DNSName)]
        names += [str(each) for each in held.get_values_for_type(x509.IPAddress)]
        fingerprint = certificate.fingerprint(hashes.SHA256()).hex(":").upper()
        return ServerCertificate(
            self._certificate, self._key, fingerprint, certificate.not_valid_after_utc, tuple(names)
        )

    def make_ready(self, names: Sequence[str], now: datetime) -> ServerCertificate:
        """A certificate for these names and addresses that does not end soon; made when there is none."""
        found = self.find()
        if found and found.until - now > _RENEW_BEFORE and {_spelled(n) for n in names} <= set(found.names):
            return found
        key = ec.generate_private_key(ec.SECP256R1())
        self._write(self._key, _pem_of(key))
        self._write(self._certificate, _signed(key, names, now).public_bytes(serialization.Encoding.PEM))
        made = self.find()
        assert made is not None, "what was just written can be read"
        return made

    @property
    def _certificate(self) -> Path:
        return self._folder / "server.crt"

    @property
    def _key(self) -> Path:
        return self._folder / "server.key"

    def _write(self, path: Path, data: bytes) -> None:
        """Write a file whole or not at all, readable by its owner alone from the first moment."""
        half: Path | None = None
        try:
            self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            with NamedTemporaryFile(dir=self._folder, prefix=".half-", delete=False) as file:
                half = Path(file.name)
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            half.replace(path)
        except OSError as error:
            raise ExportError(path, (error.strerror or "no access").lower()) from error
        finally:
            if half is not None:
                with suppress(OSError):
                    half.unlink(missing_ok=True)


def _pem_of(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _signed(key: ec.EllipticCurvePrivateKey, names: Sequence[str], now: datetime) -> x509.Certificate:
    """A certificate that vouches for itself and may vouch for no other."""
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Sight-reading planner")])
    usage = x509.KeyUsage(
        digital_signature=True, content_commitment=False, key_encipherment=False, data_encipherment=False,
        key_agreement=False, key_cert_sign=False, crl_sign=False, encipher_only=False, decipher_only=False,
    )  # fmt: skip
    begins = now.astimezone(UTC) - timedelta(days=1)
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(begins)
        .not_valid_after(begins + _LASTS)
        .add_extension(x509.SubjectAlternativeName([_general_name(name) for name in names]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(key, hashes.SHA256())
    )


def _general_name(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        return x509.DNSName(_spelled(name))


def _spelled(name: str) -> str:
    """A name or address as a certificate holds it."""
    try:
        return str(ipaddress.ip_address(name))
    except ValueError:
        return name.encode("idna").decode("ascii").lower()
