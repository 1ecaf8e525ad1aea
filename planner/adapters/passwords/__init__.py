"""Passwords: hashed with Argon2id, and compared."""

from planner.adapters.passwords.argon import ArgonPasswords

__all__ = ["ArgonPasswords"]
