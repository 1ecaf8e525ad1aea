"""Any text in any field of any form: taken whole or refused in a sentence; no fault, nothing half-stored.

The forms are found on the pages themselves, from link to link.
"""

import re
import shutil
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
    "plan.make": "plans", "plan.take": "plans", "plan.decide": "plans", "day.guides": "prints",
    "jobs.restudy": "studies",
    "jobs.resume": "studies", "backups.make": "copies the home", "backups.restore": "puts a home back",
    "backups.check": "reads a backup", "imports.start": "takes files", "library.add": "takes files",
    "catalogue.hand_in": "takes a file", "read_in.hand_in": "takes a file",
}  # fmt: skip
"""Forms that are not sent here, and what they do: they hold no text of their own."""
FILES = {
    "library.opening", "day.guide", "term.download", "gradebook.download", "catalogue.give_out",
    "scoring_form.download", "scoring_form.download_day",
    "backups.file", "jobs.state", "read_in.worksheet", "read_in.tally", "school_file.download",
    "day.director", "day.section", "room.state", "score.page",
    "sections.level", "sections.levels", "levels.checks", "plan.choices",
}  # fmt: skip
"""Addresses without forms of their own: drawings, sheets and tables."""
PARTS = 50
"""Of the whole sweep, each a slow test."""
PAGES_AT_MOST = 150
STARTS = (
    "/", "/access/", "/term/1/2026-12-03/change", "/term/1/2026-11-19/", "/term/1/2026-11-19/here",
    "/library/edit/?piece=1", "/people/1/delete", "/people/1/join?other=2", "/term/1/2026-12-03/room/",
)  # fmt: skip
"""Pages from which links lead to the others; of a kind the first is looked at."""
SHOWN_ELSEWHERE = {
    "accounts.forget": ("name", "typed"),
    "accounts.change": ("name", "access", "section"), "accounts.password": ("password",),
    "accounts.remove": (), "alike.ask_again": ("from",), "alike.join": ("from",), "alike.separate": ("from",),
    "backups.remove": (), "lists.put": ("list", "piece"), "lists.take_off": ("list", "piece"),
    "many.store": ("piece", "fingerprint", "add_tags", "take_tags", "set_tags", "shelf", "rights",
                   "rights_reason", "add_remark", "remarks", "copies"),
    "catalogue.join": ("score",), "catalogue.store": ("target", "fingerprint", "sheet", "headings"),
    "read_in.take": ("fingerprint",),
    "imports.undo": (), "jobs.close": (), "jobs.stop": (), "library.apart": (),
    "levels.remove": ("part", "dimension", "instrument"), "players.back": ("on", "section"),
    "players.take": ("rows", "is_sheet", "section"), "sections.choose": ("ensemble", "back"),
    "sections.take_back": (), "term_days.reopen": (), "sign_in.enter": ("name", "to", "password"),
    "scoring_form.save_shape": (
        "name", "better", "totaling", "least", "step", "firsts", "caption-1", "most-1", "bands-1",
        "caption-new1", "most-new1", "bands-new1", "deduct-new1", "from-new1", "to-new1", "total-0",
        "word-0", "counts-0", "shown",
    ),
    "scoring_form.save_points": ("whom", "points-1-1", "back", "shown"),
    "sign_in.leave": (), "sign_in.own_password": ("old", "new"), "results.undo": ("change",),
}  # fmt: skip
"""Forms that need what the demo does not hold, such as an account, and their fields: sent to number 1."""
ARGUMENTS = {"name": "home-2026-09-01.zip", "on": "2026-12-01", "token": "0" * 32, "dimension": "range"}


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


class Library:
    """The library of a home, watched: what was stored since it was last as it had been, and back to that."""

    def __init__(self, path) -> None:
        self._live, self._untouched = sqlite3.connect(path), sqlite3.connect(":memory:")
        self._live.backup(self._untouched)
        self._rows = frozenset(self._untouched.iterdump())
        self._seen = self._version()

    def _version(self) -> int:
        return self._live.execute("PRAGMA data_version").fetchone()[0]

    def stored(self) -> frozenset[str]:
        """The rows that are new or changed."""
        if self._version() == self._seen:
            return frozenset()
        return frozenset(self._live.iterdump()) - self._rows

    def put_back(self) -> None:
        """As it was."""
        if self._version() != self._seen:
            self._untouched.backup(self._live)
            self._seen = self._version()

    def close(self) -> None:
        self._live.close()
        self._untouched.close()


@pytest.fixture(scope="module")
def place(demo_home, tmp_path_factory):
    """The application over a home of its own, and that home's library."""
    home = shutil.copytree(demo_home, tmp_path_factory.mktemp("any") / "home")
    tools = wired(home)
    app = create_app(tools)
    app.config.update(TESTING=True, WTF_CSRF_ENABLED=False, PROPAGATE_EXCEPTIONS=False)
    app.test_client().post("/library/lists/keep", data={"name": "Spring", "piece": "1,2"})
    library = Library(home / "library.sqlite")
    yield app, library
    library.close()
    tools.close()


@pytest.fixture(scope="module")
def forms(place):
    """Every form that a director meets, each kind of page once."""
    app = place[0]
    client, seen, kinds, found = app.test_client(), set(), set(), {}
    waiting = [*STARTS]
    while waiting and len(seen) < PAGES_AT_MOST:
        address = waiting.pop(0)
        kind = _endpoint(app, address)
        if address in seen or kind is None or kind in kinds | FILES:
            continue
        seen.add(address)
        with client.get(address) as answer:
            text = answer.get_data(as_text=True) if answer.mimetype == "text/html" else ""
        if not text:
            continue
        kinds.add(kind)
        page = _Page(address)
        page.feed(text)
        waiting += page.links
        for form in page.forms:
            names = tuple(re.sub(r"\d+", "1", name) for name, _ in form.fields)
            found.setdefault((_endpoint(app, form.action, form.method), names), form)
    for endpoint, fields in SHOWN_ELSEWHERE.items():
        action = _address(app, endpoint)
        found[endpoint, fields] = Form(action, action, "post", tuple((name, "1") for name in fields))
    return found


def _address(app, endpoint):
    rule = next(rule for rule in app.url_map.iter_rules(endpoint) if "POST" in rule.methods)
    arguments = {name: ARGUMENTS.get(name, 1) for name in rule.arguments}
    return app.url_map.bind("localhost").build(endpoint, arguments, method="POST")


def _endpoint(app, address, method="get"):
    adapter = app.url_map.bind("localhost")
    try:
        return adapter.match(urlsplit(address).path, method=method.upper())[0]
    except Exception:
        return None


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
    left_out = sorted(posts - sent - set(LONG_WORK))
    assert not left_out, left_out


@pytest.mark.parametrize(
    "part", [None, *(pytest.param(part, marks=pytest.mark.slow) for part in range(PARTS))]
)
def test_any_text_in_any_field_is_taken_whole_or_refused_in_a_sentence(place, forms, part):
    app, library = place
    wrong, attacks = [], attacks_on(forms)
    for form, name, text in some(sampled(attacks, 25) if part is None else attacks[part::PARTS]):
        fault = _fault(app, library, form, name, TEXTS[text])
        library.put_back()
        if fault:
            wrong.append(f"{form.method} {form.action} {name} = {text}: {fault}")
    assert not wrong, "\n".join(wrong)


def _fault(app, library, form, name, text) -> str:
    """What is wrong with the answer to a form in which one field holds this text; empty for nothing."""
    sent = MultiDict([(field, text if field == name else value) for field, value in form.fields])
    client, is_sent = app.test_client(), form.method == "post"
    with (
        client.post(form.action, data=sent)
        if is_sent
        else client.get(form.action, query_string=sent) as answer
    ):
        page = answer.get_data(as_text=True) if answer.mimetype == "text/html" else ""
    stored = library.stored()
    if answer.status_code >= 500:
        return f"status {answer.status_code}"
    if SCRIPT in page:
        return "markup comes out as markup"
    if answer.status_code >= 400:
        has_sentence = re.search(r"[A-Z“][^<>]{10,}\.", page)
        is_whole = not stored
        return "" if has_sentence and is_whole else f"status {answer.status_code}: {stored or 'no sentence'}"
    if any(_is_hidden(sign) for row in stored for sign in row):
        return "what no page can show was stored"
    return ""


def _is_hidden(sign) -> bool:
    return (unicodedata.category(sign) in ("Cc", "Cs") and sign not in "\n\r\t") or sign in "\u202e\u2067"
