"""Passwords, certificates and keys."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Protocol


class Passwords(Protocol):
    """Hashes passwords so that they cannot be read back, and compares."""

    def hash(self, password: str) -> str: ...
    def is_right(self, password: str, hashed: str) -> bool:
        """Whether it is the password of that hash; an empty hash takes as long to refuse as any other."""
        ...

    def is_weak(self, hashed: str) -> bool:
        """Whether the hash should be made anew when the password is next known."""
        ...


@dataclass(frozen=True, slots=True)
class ServerCertificate:
    """The certificate with which the pages are served to the room.

    Attributes:
        certificate, key: Where the two lie, as PEM.
        fingerprint: SHA-256 of the certificate, as browsers show it.
        until: When it ends, in UTC.
        names: The names and addresses it holds for.
    """

    certificate: Path
    key: Path
    fingerprint: str
    until: datetime
    names: tuple[str, ...]


class Certificates(Protocol):
    """The home's own certificate."""

    def find(self) -> ServerCertificate | None:
        """The certificate there is; None before the first, and when it is damaged."""
        ...

    def make_ready(self, names: Sequence[str], now: datetime) -> ServerCertificate:
        """A certificate that holds for these names and addresses and does not end soon, made when needed.

        Raises:
            ExportError: If it could not be written.
        """
        ...


class SecretKeys(Protocol):
    """Secrets of the home that nobody types."""

    def session_key(self) -> str:
        """The key that signs session cookies, made at first use.

        Raises:
            HomeError: If it is damaged, or cannot be read or written.
        """
        ...
