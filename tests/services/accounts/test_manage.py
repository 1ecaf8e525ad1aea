"""People with access: who may be added, changed and removed, and what the journal keeps of it."""

from datetime import UTC, datetime

import pytest

from planner.core.account import Access, Account
from planner.core.ensemble import Ensemble, Section
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.accounts.manage import add_account, change_account, remove_account, set_password
from planner.services.accounts.sign_in import name_key, sign_in
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.toolbox import changing
from planner.wording.director.changes import change_sentence
from tests.fakes import BY, FakeFiles, FakeLibrary, FakePasswords, FakeStudies

NOW = datetime(2026, 9, 3, 9, tzinfo=UTC)
PASSWORD = "three short words"
MEANS = Means(FakeFiles(), FakeStudies())


@pytest.fixture
def library():
    library = FakeLibrary()
    with changing(library) as work:
        sections = tuple(Section(0, name, "flute") for name in ("Flute", "Oboe"))
        work.ensembles.add(Ensemble(0, "Band", sections=sections))
    return library


@pytest.fixture
def oboe(library):
    with library() as work:
        return work.ensembles.list_ensembles()[0].sections[1].id


def add(library, name="Dora", access=Access.DIRECTOR, sections=(), password=PASSWORD):
    with changing(library) as work:
        new = Account(0, name, access, sections)
        return add_account(work, FakePasswords(), new, password, now=NOW, by=BY)


def journal(library):
    with library() as work:
        return [(each.id, change_sentence(each)) for each in work.changes.list_changes(50)]


def test_the_first_account_must_be_a_directors(library, oboe):
    for access in (Access.VIEWER, Access.LEADER):
        with pytest.raises(ConflictError, match="must be a director"):
            add(library, access=access, sections=(oboe,))
    with library() as work:
        assert not work.accounts.is_any()
    assert add(library).access is Access.DIRECTOR


def test_a_leader_needs_sections_that_are_there_and_nobody_else_has_any(library, oboe):
    add(library)
    with pytest.raises(InputError, match="needs a section"):
        add(library, "Lee", Access.LEADER)
    with pytest.raises(NotFoundError):
        add(library, "Lee", Access.LEADER, (oboe, 999))
    assert add(library, "Lee", Access.LEADER, (oboe, oboe)).section_ids == (oboe,)
    assert add(library, "Vic", Access.VIEWER, (oboe,)).section_ids == ()


@pytest.mark.parametrize("name", ["dora", " DORA ", "Dóra"])
def test_a_name_that_reads_alike_is_taken(library, name):
    add(library)
    with pytest.raises(ConflictError, match="already"):
        add(library, name)


def test_the_journal_has_each_change_without_a_password_and_takes_it_back(library, oboe):
    add(library)
    lee = add(library, "Lee", Access.LEADER, (oboe,))
    with changing(library) as work:
        change_account(work, Account(lee.id, "Lee R.", Access.VIEWER), by=BY)
    (changed, words), *_ = journal(library)
    assert words == (
        "“Lee”: name now “Lee R.” (was “Lee”); access now viewer (was section leader); "
        "sections now none (was Oboe)."
    )
    with changing(library) as work:
        undo_change(work, changed, BY, MEANS)
        assert work.accounts.get(lee.id).section_ids == (oboe,)
        assert work.accounts.get(lee.id).name == "Lee"
    kept = repr(library.state.changes)
    assert "hash of" not in kept
    assert PASSWORD not in kept


def test_a_removed_account_comes_back_without_a_password(library, oboe):
    add(library)
    lee = add(library, "Lee", Access.LEADER, (oboe,))
    with changing(library) as work:
        remove_account(work, lee.id, by=BY)
    (removed, words), *_ = journal(library)
    assert words == "“Lee”: may no longer open the pages (was section leader of Oboe)."
    with changing(library) as work:
        undo_change(work, removed, BY, MEANS)
        assert work.accounts.get(lee.id).password_at is None
        assert work.accounts.password_hash(lee.id) == ""
    with pytest.raises(InputError, match="do not belong together"):
        sign_in(library, FakePasswords(), "Lee", PASSWORD, address="", now=NOW)
    with changing(library) as work:
        undo_change(work, journal(library)[0][0], BY, MEANS)
        assert [each.name for each in work.accounts.list_accounts()] == ["Dora"]


def test_undoing_cannot_take_the_last_director(library):
    dora = add(library)
    (made, _), *_ = journal(library)
    add(library, "Vic", Access.VIEWER)
    with pytest.raises(ConflictError, match="must be a director"), changing(library) as work:
        undo_change(work, made, BY, MEANS)
    with library() as work:
        assert work.accounts.get(dora.id).access is Access.DIRECTOR


def test_a_password_cannot_be_taken_back(library):
    dora = add(library)
    with changing(library) as work:
        later = NOW.replace(hour=11)
        set_password(work, FakePasswords(), dora.id, "another of three", now=later, by=BY)
    (number, words), *_ = journal(library)
    assert words == "“Dora”: password set."
    with pytest.raises(ConflictError, match="nobody can read what it was"), changing(library) as work:
        undo_change(work, number, BY, MEANS)


def test_the_last_account_may_go_but_not_the_last_director_of_others(library):
    dora = add(library)
    vic = add(library, "Vic", Access.VIEWER)
    with pytest.raises(ConflictError), changing(library) as work:
        remove_account(work, dora.id, by=BY)
    with changing(library) as work:
        remove_account(work, vic.id, by=BY)
        remove_account(work, dora.id, by=BY)
        assert not work.accounts.is_any()


def test_a_new_password_logs_out_everywhere_and_forgets_wrong_tries(library):
    dora, passwords = add(library), FakePasswords()
    _, here = sign_in(library, passwords, "Dora", PASSWORD, address="1", now=NOW)
    _, there = sign_in(library, passwords, "Dora", PASSWORD, address="2", now=NOW)
    for _ in range(5):
        with pytest.raises(InputError):
            sign_in(library, passwords, "Dora", "wrong", address="3", now=NOW)
    with changing(library) as work:
        set_password(work, passwords, dora.id, "another of three", now=NOW, by=BY, but=here)
        assert work.accounts.find_sign_in(here)
        assert not work.accounts.find_sign_in(there)
        assert not work.accounts.tries([name_key("Dora")])
    sign_in(library, passwords, "Dora", "another of three", address="2", now=NOW)
