"""Hashing passwords with Argon2id, so that a stolen library gives none away."""

import secrets
import threading

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

_PASSES, _LANES = 3, 4
"""Rounds and lanes. Source: RFC 9106, section 4, the second recommended option (with 64 MB)."""


class ArgonPasswords:
    """``Passwords`` with Argon2id.

    One password is hashed at a time, so that many who log in at once do not take many times the memory.

    Args:
        memory_mb: Memory that hashing one password takes; what a thief must spend for each guess.
    """

    def __init__(self, memory_mb: float) -> None:
        self._hasher = PasswordHasher(
            time_cost=_PASSES, parallelism=_LANES, memory_cost=max(8 * _LANES, round(1024 * memory_mb))
        )
        self._one_at_a_time = threading.Lock()
        self._of_nobody = ""

    def hash(self, password: str) -> str:
        """A hash of the password, with its own salt."""
        with self._one_at_a_time:
            return self._hasher.hash(_bytes(password))

    def is_right(self, password: str, hashed: str) -> bool:
        """Whether it is the password of that hash; an empty hash takes as long to refuse as any other."""
        if not hashed and not self._of_nobody:
            self._of_nobody = self.hash(secrets.token_hex(32))
        with self._one_at_a_time:
            try:
                self._hasher.verify(hashed or self._of_nobody, _bytes(password))
            except (VerificationError, InvalidHashError):
                return False
        return bool(hashed)

    def is_weak(self, hashed: str) -> bool:
        """Whether it was made with other numbers than those of today."""
        return self._hasher.check_needs_rehash(hashed)


def _bytes(password: str) -> bytes:
    return password.encode("utf-8", "surrogatepass")
