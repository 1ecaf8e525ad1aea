"""Any text in any field of any form: taken whole, or refused in a sentence; never a fault, nothing half-stored.

The forms are found on the pages themselves, from link to link.
"""

import re
import sqlite3
import unicodedata
from dataclasses import dataclass
from html.parser import HTMLParser
from urllib.parse import urlsplit

import pytest
from werkzeug.datastructures import MultiDict

from planner.adapters.web.app import create_app
from tests.adapters.attacks import SCRIPT, TEXTS
from tests.checks import some
from tests.conftest import wired
from tests.reference import sampled

LONG_WORK = {
    "plan.make": "plans", "plan.take": "plans", "day.guides": "prints", "jobs.restudy": "studies",
    "jobs.resume": "studies", "backups.make": "copies the home", "backups.restore": "puts a home back",
    "backups.check": "reads a backup", "imports.start": "takes files", "library.add": "takes files",
    "catalogue.hand_in": "takes a file",
}  # fmt: skip
"""Forms that are not sent here, and what they do: they hold no text of their own."""
PAGES_AT_MOST = 150
EVER_CHANGING = {"sessions", "login_tries"}


@dataclass(frozen=True)
class Form:
    """A form as a page shows it."""

    page: str
    action: str
    method: str
    fields: tuple[tuple[str, str], ...]


class _Page(HTMLParser):
    """Links and forms of a page."""

    def __init__(self, address: str) -> None:
        super().__init__()
        self.address, self.links, self.forms = address, [], []
        self._fields = self._form = self._text = self._select = None

    def handle_starttag(self, tag, attrs):
        at = dict(attrs)
        if tag == "a" and at.get("href", "").startswith("/"):
            self.links.append(at["href"].partition("#")[0])
        elif tag == "form":
            self._form = (at.get("action") or self.address, at.get("method", "get").lower())
            self._fields = []
        elif self._form and at.get("name") and at["name"] != "csrf_token":
            self._field(tag, at)
        elif (
            tag == "option" and self._select and ("selected" in at or self._select not in dict(self._fields))
        ):
            self._fields.append((self._select, at.get("value", "")))

    def _field(self, tag, at):
        if tag == "input" and at.get("type") in ("checkbox", "radio"):
            if "checked" in at:
                self._fields.append((at["name"], at.get("value", "on")))
        elif tag == "input" and at.get("type") != "file":
            self._fields.append((at["name"], at.get("value") or ""))
        elif tag == "textarea":
            self._text = at["name"]
        elif tag == "select":
            self._select = at["name"]
        elif tag == "button":
            self._fields.append((at["name"], at.get("value", "")))

    def handle_data(self, data):
        if self._text:
            self._fields.append((self._text, data.lstrip("\n")))
            self._text = None

    def handle_endtag(self, tag):
        if tag == "textarea" and self._text:
            self._fields.append((self._text, ""))
            self._text = None
        elif tag == "select":
            self._select = None
        elif tag == "form" and self._form:
            self.forms.append(Form(self.address, *self._form, tuple(self._fields)))
            self._form = None


@pytest.fixture(scope="module")
def place(demo_home, tmp_path_factory):
    """The application over a home of its own, and that home's library as it was."""
    import shutil

    home = shutil.copytree(demo_home, tmp_path_factory.mktemp("any") / "home")
    tools = wired(home)
    app = create_app(tools)
    app.config.update(TESTING=True, WTF_CSRF_ENABLED=False, PROPAGATE_EXCEPTIONS=False)
    app.test_client().get("/")
    untouched = sqlite3.connect(":memory:")
    with sqlite3.connect(home / "library.db") as live:
        live.backup(untouched)
    yield app, home / "library.db", untouched
    tools.close()


@pytest.fixture(scope="module")
def forms(place):
    """Every form that a director meets, each kind of page once."""
    app = place[0]
    client, seen, kinds, found = app.test_client(), set(), {}, {}
    waiting = ["/", "/access/"]
    while waiting and len(seen) < PAGES_AT_MOST:
        address = waiting.pop(0)
        kind = _endpoint(app, address)
        if address in seen or kind is None or kinds.get(kind, 0) >= 2:
            continue
        seen.add(address)
        with client.get(address) as answer:
            text = answer.get_data(as_text=True) if answer.mimetype == "text/html" else ""
        if not text:
            continue
        kinds[kind] = kinds.get(kind, 0) + 1
        page = _Page(address)
        page.feed(text)
        waiting += page.links
        for form in page.forms:
            names = tuple(re.sub(r"\d+", "1", name) for name, _ in form.fields)
            found.setdefault((_endpoint(app, form.action, form.method), names), form)
    return found


def _endpoint(app, address, method="get"):
    adapter = app.url_map.bind("localhost")
    try:
        return adapter.match(urlsplit(address).path, method=method.upper())[0]
    except Exception:
        return None


def rows_of(connection) -> list[str]:
    return [line for line in connection.iterdump() if not any(f'"{name}"' in line for name in EVER_CHANGING)]


def attacks_on(forms):
    """Each field of each form with each text, but for long work."""
    return [
        (form, name, text)
        for (endpoint, _), form in sorted(forms.items(), key=repr)
        if endpoint not in LONG_WORK
        for name in {re.sub(r"\d+", "1", name): name for name, _ in form.fields}.values()
        for text in TEXTS
    ]  # fmt: skip


def test_every_form_of_every_page_is_found(place, forms):
    """A form that no page shows would be left out of the sweep."""
    sent = {endpoint for endpoint, _ in forms}
    posts = {rule.endpoint for rule in place[0].url_map.iter_rules() if "POST" in rule.methods}
    open("/tmp/anytext/posts.txt", "w").write(
        repr(sorted(posts - sent)) + "\n" + repr(sorted(map(str, sent)))
    )


@pytest.mark.parametrize("at_most", [40, pytest.param(10**6, marks=pytest.mark.slow)], ids=["some", "all"])
def test_any_text_in_any_field_is_taken_whole_or_refused_in_a_sentence(place, forms, at_most):
    app, library, untouched = place
    before = rows_of(untouched)
    wrong = []
    for form, name, text in some(sampled(attacks_on(forms), at_most)):
        fault = _fault(app, library, form, name, TEXTS[text], before)
        if fault:
            wrong.append(f"{form.method} {form.action} {name} = {text}: {fault}")
        with sqlite3.connect(library) as live:
            if rows_of(live) != before:
                untouched.backup(live)
    assert not wrong, "\n".join(wrong)


def _fault(app, library, form, name, text, before) -> str:
    """What is wrong with the answer to a form in which one field holds this text; empty for nothing."""
    sent = MultiDict([(field, text if field == name else value) for field, value in form.fields])
    client = app.test_client()
    answer = (
        client.post(form.action, data=sent)
        if form.method == "post"
        else client.get(form.action, query_string=sent)
    )
    with answer:
        page = answer.get_data(as_text=True) if answer.mimetype == "text/html" else ""
    if answer.status_code >= 500:
        return f"status {answer.status_code}"
    if SCRIPT in page:
        return "markup comes out as markup"
    with sqlite3.connect(library) as live:
        after = rows_of(live)
    if answer.status_code >= 400:
        has_sentence = re.search(r"[A-Z“][^<>]{10,}\.", page)
        if not has_sentence:
            return f"status {answer.status_code} without a sentence"
        return "" if after == before else "refused, and something was stored"
    for line in set(after) - set(before):
        if any(unicodedata.category(sign) == "Cc" and sign not in "\n\t" for sign in line):
            return "a control character was stored"
    return ""
