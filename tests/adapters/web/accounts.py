"""Accounts for the tests of pages, and browsers logged in as them."""

from planner.core.account import Access, Account
from planner.services.toolbox import changing

PASSWORD = "three short words"


def add_people(tools, flute=1):
    """A director, a leader of the first section, one of the second, and a viewer: ids by name."""
    people = {
        "Dora Rector": Account(0, "Dora Rector", Access.DIRECTOR),
        "Lee Flute": Account(0, "Lee Flute", Access.LEADER, (flute,)),
        "Cleo Second": Account(0, "Cleo Second", Access.LEADER, (flute + 1,)),
        "Vic Ewer": Account(0, "Vic Ewer", Access.VIEWER),
    }
    ids = {}
    with changing(tools.work) as work:
        for name, account in people.items():
            ids[name] = work.accounts.add(account)
            work.accounts.put_password(ids[name], tools.passwords.hash(PASSWORD), tools.now())
            work.accounts.begin(f"token of {name}", ids[name], tools.now())
    return ids


def browser_of(app, name):
    """A browser in which somebody is logged in; None for nobody."""
    client = app.test_client()
    if name is not None:
        with client.session_transaction() as session:
            session["_user_id"] = f"token of {name}"
    return client
