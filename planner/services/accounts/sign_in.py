"""Logging in: tries that are slowed down, being logged in for a while, logging out."""

import ipaddress
import math
import secrets
import unicodedata
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta

from planner.core.account import Account, SignIn, Tries
from planner.core.text import folded
from planner.errors import InputError
from planner.services.ports.access import Passwords
from planner.services.ports.work import OpenWork, UnitOfWork
from planner.services.toolbox import changing

IDLE = timedelta(hours=1)
"""After this time without a page a browser is logged out. House choice: about a rehearsal."""
LONGEST = timedelta(hours=12)
"""Nobody stays logged in longer. House choice: a school day."""
SEEN_EVERY = timedelta(minutes=1)
"""How often it is noted that a browser was heard of."""
_FORGET_TRIES = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Patience:
    """After ``free`` failures in a row a try waits, each time twice as long, up to ``longest_s``."""

    free: int
    longest_s: int

    def wait_s(self, tries: Tries | None, now: datetime) -> int:
        """Seconds until the next try, 0 when it may be made now.

        Example:
            >>> at = datetime(2026, 9, 1)
            >>> [Patience(5, 60).wait_s(Tries(n, at), at) for n in (4, 5, 6, 8, 30)]
            [0, 1, 2, 8, 60]
        """
        if tries is None or tries.failures < self.free:
            return 0
        pause = min(self.longest_s, 1 << min(tries.failures - self.free, 20))
        return max(0, math.ceil(pause - (now - tries.last).total_seconds()))


BY_NAME = Patience(5, 60)
BY_ADDRESS = Patience(20, 900)
"""House choices: a name waits soon, a minute at most; an address, which a school shares, later and longer."""


class WrongSignInError(InputError):
    """Name and password do not belong together; it is never said which is wrong."""

    slug = "sign-in"


class TooManyTriesError(InputError):
    """There were too many wrong tries just before; ``wait_s`` is how long to wait."""

    slug = "sign-in-wait"

    def __init__(self, wait_s: int) -> None:
        super().__init__(f"There were too many tries. Wait {_seconds(wait_s)}, then try again.")
        self.wait_s = wait_s


def sign_in(
    open_work: OpenWork, passwords: Passwords, name: str, password: str, *, address: str, now: datetime
) -> tuple[Account, str]:
    """Log in one browser: the account, and the token by which the browser is known.

    The try counts as failed before the password is looked at, so that many tries at once count as many;
    no transaction is open while it is compared.

    Args:
        open_work: Opens the library.
        passwords: Compares passwords, as slowly for a name that is not there.
        name: As typed.
        password: As typed.
        address: Of the browser.
        now: When, in UTC.

    Raises:
        WrongSignInError: If they do not belong together.
        TooManyTriesError: If there were too many wrong tries before.
    """
    keys = {name_key(name): BY_NAME, address_key(address): BY_ADDRESS}
    with changing(open_work) as work:
        work.accounts.forget_tries(now - _FORGET_TRIES)
        before = work.accounts.tries(list(keys))
        wait_s = max(patience.wait_s(before.get(key), now) for key, patience in keys.items())
        if wait_s:
            raise TooManyTriesError(wait_s)
        for key in keys:
            work.accounts.put_tries(key, _one_more(before.get(key), now))
        account = work.accounts.find_by_name(" ".join(name.split())) if name.isprintable() else None
        hashed = work.accounts.password_hash(account.id) if account else ""
    normal = normal_password(password)
    if not passwords.is_right(normal, hashed) or account is None:
        raise WrongSignInError("That name and password do not belong together.", hint="Check both.")
    token = secrets.token_urlsafe(32)
    with changing(open_work) as work:
        _forgive(work, name_key(name), address_key(address))
        if work.accounts.password_hash(account.id) != hashed:
            raise WrongSignInError("The password was changed just now.", hint="Log in with the new one.")
        if passwords.is_weak(hashed):
            work.accounts.put_password(account.id, passwords.hash(normal), account.password_at or now)
        work.accounts.end_idle(now - IDLE, now - LONGEST)
        work.accounts.begin(token, account.id, now)
    return account, token


def signed_in(work: UnitOfWork, token: str, now: datetime) -> SignIn | None:
    """Who is logged in with a token; None when nobody is, or not any more."""
    found = work.accounts.find_sign_in(token) if token else None
    if found is None or now - found.seen > IDLE or now - found.began > LONGEST:
        return None
    return found


def normal_password(password: str) -> str:
    r"""A password as it is hashed: the same for every way a keyboard composes its letters.

    Source: NFKC, as NIST SP 800-63B recommends for passwords in Unicode.

    Example:
        >>> normal_password("e\u0301") == normal_password("\u00e9")
        True
    """
    return unicodedata.normalize("NFKC", password)


def name_key(name: str) -> str:
    """Under what failed tries of a name are counted."""
    return f"name {folded(' '.join(name.split()))}"


def address_key(address: str) -> str:
    """Under what failed tries from an address are counted; of IPv6 the network, which one machine may fill.

    Example:
        >>> address_key("10.0.0.7"), address_key("2001:db8:1:2:3:4:5:6"), address_key("")
        ('address 10.0.0.7', 'address 2001:db8:1:2::/64', 'address ')
    """
    with suppress(ValueError):
        parsed = ipaddress.ip_address(address.partition("%")[0])
        if parsed.version == 6:
            return f"address {ipaddress.ip_network((parsed, 64), strict=False)}"
    return f"address {address}"


def _one_more(tries: Tries | None, now: datetime) -> Tries:
    return Tries((tries.failures if tries else 0) + 1, now)


def _forgive(work: UnitOfWork, by_name: str, by_address: str) -> None:
    """A right password forgets the failures of its name; at its address only this try."""
    work.accounts.put_tries(by_name, None)
    left = work.accounts.tries([by_address]).get(by_address)
    if left is not None:
        fewer = Tries(left.failures - 1, left.last)
        work.accounts.put_tries(by_address, fewer if fewer.failures > 0 else None)


def _seconds(count: int) -> str:
    if count >= 120:
        return f"{-(-count // 60)} minutes"
    return "1 second" if count == 1 else f"{count} seconds"
