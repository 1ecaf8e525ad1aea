"""The names and addresses under which the room can open this machine's pages."""

import ipaddress
import socket
from collections.abc import Iterator
from contextlib import suppress

_NOWHERE = (("192.0.2.1", socket.AF_INET), ("2001:db8::1", socket.AF_INET6))
"""Addresses that no machine has. Source: RFC 5737 and RFC 3849."""


def own_names(host: str) -> tuple[str, ...]:
    """Names and addresses of this machine, when the pages are served on one address of it or on all.

    Args:
        host: Address or name they are served on; ``0.0.0.0`` or ``::`` for all of them.
    """
    called = socket.gethostname()
    names = ["localhost", "127.0.0.1", "::1", called, f"{called.partition('.')[0]}.local"]
    names += _all_addresses(called) if is_every_address(host) else [host]
    return tuple(dict.fromkeys(name.lower() for name in names if _can_be_certified(name)))


def is_every_address(host: str) -> bool:
    """Whether an address stands for all addresses of a machine.

    Example:
        >>> is_every_address("0.0.0.0"), is_every_address("::"), is_every_address("10.0.0.7")
        (True, True, False)
    """
    try:
        return ipaddress.ip_address(host).is_unspecified
    except ValueError:
        return False


def _all_addresses(called: str) -> Iterator[str]:
    """What the name of this machine leads to, and the addresses it would send from: nothing is sent."""
    with suppress(OSError):
        for _, _, _, _, place in socket.getaddrinfo(called, None):
            yield str(place[0]).partition("%")[0]
    for nowhere, family in _NOWHERE:
        with suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as probe:
            probe.connect((nowhere, 9))
            yield str(probe.getsockname()[0])


def _can_be_certified(name: str) -> bool:
    try:
        return bool(name) and len(name.encode("idna")) < 254
    except UnicodeError:
        return False
