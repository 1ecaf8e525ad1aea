"""Logging in: slowed tries, one answer for every mistake, sessions that end."""

from datetime import UTC, datetime, timedelta

import pytest

from planner.core.account import Access, Account
from planner.services.accounts.sign_in import (
    BY_ADDRESS,
    BY_NAME,
    IDLE,
    LONGEST,
    TooManyTriesError,
    WrongSignInError,
    sign_in,
    signed_in,
)
from planner.services.toolbox import changing
from tests.fakes import FakeLibrary, FakePasswords

NOW = datetime(2026, 9, 3, 9, tzinfo=UTC)
PASSWORD = "three short words"


@pytest.fixture
def library():
    library = FakeLibrary()
    with changing(library) as work:
        for name in ("Dora", "Vic"):
            account_id = work.accounts.add(Account(0, name, Access.DIRECTOR))
            work.accounts.put_password(account_id, FakePasswords().hash(PASSWORD), NOW)
        work.accounts.add(Account(0, "Newcomer", Access.VIEWER))
    return library


def fail(library, name="Dora", address="10.0.0.7", at=NOW):
    with pytest.raises(WrongSignInError) as caught:
        sign_in(library, FakePasswords(), name, "wrong", address=address, now=at)
    return str(caught.value)


def test_every_mistake_costs_one_comparison_and_gets_one_answer(library):
    answers = set()
    for name in ("Dora", "Nobody", "Newcomer", "", "x\x00y"):
        passwords = FakePasswords()
        with pytest.raises(WrongSignInError) as caught:
            sign_in(library, passwords, name, "wrong", address=name, now=NOW)
        answers.add(str(caught.value))
        assert len(passwords.compared) == 1
    assert len(answers) == 1


@pytest.mark.parametrize("name", ["Dora", "Nobody"])
def test_a_name_waits_after_five_failures_whether_or_not_it_is_there(library, name):
    for number in range(5):
        fail(library, name, address=str(number))
    waits, at = [], NOW
    for number in range(8):
        passwords = FakePasswords()
        with pytest.raises(TooManyTriesError) as caught:
            sign_in(library, passwords, name, PASSWORD, address=f"b{number}", now=at)
        assert not passwords.compared, "a try that must wait does not even look at the password"
        waits.append(caught.value.wait_s)
        at += timedelta(seconds=caught.value.wait_s)
        fail(library, name, address=f"c{number}", at=at)
    assert waits == [1, 2, 4, 8, 16, 32, 60, 60]


def test_an_address_waits_whatever_names_it_tries(library):
    for number in range(20):
        fail(library, f"guess {number}")
    with pytest.raises(TooManyTriesError):
        sign_in(library, FakePasswords(), "Vic", PASSWORD, address="10.0.0.7", now=NOW)
    sign_in(library, FakePasswords(), "Vic", PASSWORD, address="10.0.0.8", now=NOW)


def test_one_ipv6_network_counts_as_one_address(library):
    for number in range(20):
        fail(library, f"guess {number}", address=f"2001:db8::{number:x}")
    with pytest.raises(TooManyTriesError):
        sign_in(library, FakePasswords(), "Vic", PASSWORD, address="2001:db8::ffff", now=NOW)


def test_the_right_password_forgives_its_name_and_not_the_address(library):
    for number in range(4):
        fail(library, "Dora")
        fail(library, f"guess {number}")
    sign_in(library, FakePasswords(), "Dora", PASSWORD, address="10.0.0.7", now=NOW)
    assert [tries.failures for tries in library.state.tries.values() if tries.failures > 1] == [8]


def test_many_tries_at_once_count_as_many(library):
    """While the first is compared others come in: each was counted before its password is looked at."""

    class Slow(FakePasswords):
        def is_right(self, password, hashed):
            if not self.compared:
                for _ in range(4):
                    fail(library)
            return super().is_right(password, hashed)

    with pytest.raises(WrongSignInError):
        sign_in(library, Slow(), "Dora", "wrong", address="10.0.0.7", now=NOW)
    with pytest.raises(TooManyTriesError):
        sign_in(library, FakePasswords(), "Dora", PASSWORD, address="10.0.0.9", now=NOW)


def test_tries_are_forgotten_after_a_day(library):
    for number in range(9):
        at = NOW + timedelta(minutes=2 * number)
        fail(library, at=at)
    sign_in(library, FakePasswords(), "Vic", PASSWORD, address="x", now=NOW + timedelta(days=1, hours=1))
    assert not [tries for tries in library.state.tries.values() if tries.failures > 1]


def test_a_session_ends_when_idle_and_in_the_end_in_any_case(library):
    account, token = sign_in(library, FakePasswords(), " dora ", PASSWORD, address="", now=NOW)
    with changing(library) as work:
        assert signed_in(work, token, NOW + IDLE).account == account
        assert signed_in(work, token, NOW + IDLE + timedelta(seconds=1)) is None
        work.accounts.see(token, NOW + LONGEST)
        assert signed_in(work, token, NOW + LONGEST) is not None
        assert signed_in(work, token, NOW + LONGEST + timedelta(seconds=1)) is None
        assert signed_in(work, "", NOW) is None
        assert signed_in(work, "made up", NOW) is None


def test_sessions_that_ended_are_cleared_when_somebody_logs_in(library):
    _, old = sign_in(library, FakePasswords(), "Dora", PASSWORD, address="", now=NOW)
    _, new = sign_in(library, FakePasswords(), "Vic", PASSWORD, address="", now=NOW + IDLE * 2)
    assert set(library.state.sign_ins) == {new}
    assert old != new


def test_a_hash_made_with_other_numbers_is_made_anew_and_the_date_stays(library):
    with changing(library) as work:
        vic = work.accounts.find_by_name("Vic")
        work.accounts.put_password(vic.id, f"old hash of {PASSWORD}", NOW)
    sign_in(library, FakePasswords(), "Vic", PASSWORD, address="", now=NOW + IDLE)
    with library() as work:
        assert work.accounts.password_hash(vic.id) == f"hash of {PASSWORD}"
        assert work.accounts.get(vic.id).password_at == NOW


def test_letters_composed_otherwise_are_the_same_password(library):
    with changing(library) as work:
        vic = work.accounts.find_by_name("Vic")
        work.accounts.put_password(vic.id, FakePasswords().hash("caf\u00e9 au lait"), NOW)
    sign_in(library, FakePasswords(), "Vic", "cafe\u0301 au lait", address="", now=NOW)


def test_names_wait_sooner_and_shorter_than_addresses():
    assert BY_NAME.free < BY_ADDRESS.free
    assert BY_NAME.longest_s < BY_ADDRESS.longest_s
