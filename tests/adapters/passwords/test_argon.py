"""Argon2id: salted, compared, and as slow for nobody as for somebody."""

import pytest
from argon2 import PasswordHasher, extract_parameters
from argon2.low_level import Type

from planner.adapters.passwords import ArgonPasswords
from planner.config import SETTINGS

SMALL_MB = 0.03


@pytest.fixture
def passwords():
    return ArgonPasswords(SMALL_MB)


def test_a_hash_is_salted_and_tells_right_from_wrong(passwords):
    one, two = passwords.hash("three short words"), passwords.hash("three short words")
    assert one != two
    assert "three" not in one
    assert passwords.is_right("three short words", one)
    assert not passwords.is_right("three short word", one)


def test_no_hash_is_never_right_and_costs_a_comparison_all_the_same(passwords, monkeypatch):
    verified = []
    verify = PasswordHasher.verify
    monkeypatch.setattr(PasswordHasher, "verify", lambda *a: verified.append(a[1]) or verify(*a))
    assert not passwords.is_right("", "")
    assert not passwords.is_right("three short words", "")
    assert len(verified) == 2
    assert all(extract_parameters(each) == extract_parameters(passwords.hash("x")) for each in verified)


@pytest.mark.parametrize("password", ["", "\x00", "pa\udcffss", "字" * 1000])
def test_any_text_is_a_password(passwords, password):
    hashed = passwords.hash(password)
    assert passwords.is_right(password, hashed)
    assert not passwords.is_right(password + "x", hashed)


@pytest.mark.parametrize("hashed", ["x", "$argon2id$", "$2b$12$abc"])
def test_a_damaged_hash_is_wrong_and_no_fault(passwords, hashed):
    assert not passwords.is_right("three short words", hashed)


def test_by_itself_it_takes_the_numbers_of_rfc_9106():
    """Section 4, the second recommended option: t=3, p=4, m=2^16 KiB, 128-bit salt, 256-bit tag."""
    memory = next(setting.default for setting in SETTINGS if setting.name == "password_memory_mb")
    found = extract_parameters(ArgonPasswords(memory).hash("x"))
    assert (found.type, found.time_cost, found.parallelism, found.memory_cost) == (Type.ID, 3, 4, 2**16)
    assert (found.salt_len, found.hash_len) == (16, 32)


def test_a_hash_of_other_numbers_is_weak(passwords):
    assert passwords.is_weak(ArgonPasswords(1).hash("x"))
    assert not passwords.is_weak(passwords.hash("x"))
