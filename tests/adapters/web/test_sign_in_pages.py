"""Logging in and out on the pages, the first account, and the page of people with access."""

import re
from datetime import UTC, datetime, timedelta

import pytest

from planner.adapters.web.app import create_app
from planner.core.account import Access
from tests.adapters.web.accounts import PASSWORD, add_people, browser_of


def log_in(client, name="Lee Flute", password=PASSWORD, **more):
    return client.post("/log-in", data={"name": name, "password": password, **more})


@pytest.fixture
def people(tools):
    return add_people(tools)


def words_on(answer):
    return " ".join(answer.get_data(as_text=True).split())


@pytest.mark.usefixtures("people")
def test_one_logs_in_and_is_led_to_what_was_asked_for_and_out_again(client):
    asked = client.get("/library/?text=rondo")
    assert asked.location == "/log-in?to=/library/?text%3Drondo"
    answer = log_in(client, to="/library/?text=rondo")
    assert (answer.status_code, answer.location) == (303, "/library/?text=rondo")
    page = words_on(client.get("/"))
    assert "Logged in as Lee Flute (section leader)" in page
    cookie = client.get_cookie("session")
    assert cookie.http_only
    assert cookie.same_site == "Strict"
    client.post("/log-out")
    assert client.get("/").location == "/log-in"
    client.set_cookie("session", cookie.value)
    assert client.get("/").location == "/log-in", "a copied cookie is worth nothing once its owner is out"


@pytest.mark.usefixtures("people")
def test_logging_in_leads_to_no_other_site(client):
    for to in ("https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere", "x", "/\r\nx"):
        assert log_in(client, to=to).location == "/", to


@pytest.mark.usefixtures("people")
def test_a_wrong_password_and_a_name_that_is_not_there_are_told_alike(client, app):
    wrong, unknown = log_in(client, password="not it at all"), log_in(client, name="No Body")
    assert (wrong.status_code, unknown.status_code) == (401, 401)
    pages = [re.sub(r'value="[^"]*"', "", words_on(each)) for each in (wrong, unknown)]
    assert pages[0] == pages[1]
    assert "do not belong together" in pages[0]


@pytest.mark.usefixtures("people")
def test_wrong_tries_wait_longer_and_longer_and_a_restart_forgets_none(tools, app):
    for _ in range(5):
        assert log_in(app.test_client(), password="guessed again").status_code == 401
    restarted = create_app(tools)
    restarted.config.update(WTF_CSRF_ENABLED=False)
    answer = log_in(restarted.test_client())
    assert answer.status_code == 429
    assert int(answer.headers["Retry-After"]) >= 1
    assert "too many tries" in words_on(answer)
    assert log_in(restarted.test_client(), name="Vic Ewer").status_code == 303, "others are not held up"


@pytest.mark.usefixtures("people")
def test_a_browser_is_logged_out_after_an_hour_without_a_page_and_after_half_a_day_in_any_case(tools, client):
    now = datetime(2026, 11, 25, 8, tzinfo=UTC)
    tools.now = lambda: now
    log_in(client)
    now += timedelta(minutes=59)
    assert client.get("/password").status_code == 200
    now += timedelta(minutes=59)
    assert client.get("/password").status_code == 200, "each page begins the hour anew"
    now += timedelta(minutes=61)
    assert client.get("/").location == "/log-in"
    assert "logged out" in words_on(client.get("/log-in"))
    log_in(client)
    for _ in range(13):
        now += timedelta(minutes=56)
        answer = client.get("/password")
    assert answer.location.startswith("/log-in")


@pytest.mark.usefixtures("people")
def test_a_new_password_logs_out_everywhere_else(app):
    here, elsewhere = app.test_client(), app.test_client()
    log_in(here)
    log_in(elsewhere)
    assert here.post("/password", data={"old": "wrong", "new": "four other short words"}).status_code == 422
    assert here.post("/password", data={"old": PASSWORD, "new": "short"}).status_code == 422
    assert elsewhere.get("/").status_code == 200
    answer = here.post("/password", data={"old": PASSWORD, "new": "four other short words"})
    assert answer.status_code == 303
    assert here.get("/").status_code == 200
    assert elsewhere.get("/").location == "/log-in"
    assert log_in(app.test_client()).status_code == 401
    assert log_in(app.test_client(), password="four other short words").status_code == 303


def test_the_first_start_leads_to_the_first_account_which_is_a_directors(tools, client):
    page = words_on(client.get("/access/"))
    assert "answer only on this machine" in page
    assert "Make me the director" in page
    answer = client.post("/access/", data={"name": "Dora", "password": PASSWORD, "access": "viewer"})
    assert (answer.status_code, answer.location) == (303, "/access/")
    assert "Logged in as Dora (director)" in words_on(client.get("/"))
    with tools.work() as work:
        (made,) = work.accounts.list_accounts()
    assert made.access is Access.DIRECTOR


def test_a_refused_first_account_stores_nothing_and_keeps_the_name(tools, client):
    for name, password, words in (
        ("", PASSWORD, "needs a name"), ("Dora", "short", "at least 10 characters"),
        ("Dora Rector", "dora rector", "too easy to guess"), ("x" * 61, PASSWORD, "1 to 60 characters"),
        ("Do\x00ra", PASSWORD, "control character"), ("Dora", "aaaaaaaaaaaa", "too easy"),
    ):  # fmt: skip
        answer = client.post("/access/", data={"name": name, "password": password})
        assert answer.status_code == 422, name
        page = words_on(answer)
        assert words in page
        assert name != "Dora" or 'name="name" value="Dora"' in page
    with tools.work() as work:
        assert not work.accounts.is_any()


def test_people_are_added_changed_given_a_password_and_removed(tools, app, people):
    client = browser_of(app, "Dora Rector")
    new = {"name": "Nia Horn", "password": PASSWORD, "access": "section leader", "section": ["1", "3"]}
    assert client.post("/access/", data=new).status_code == 303
    assert client.post("/access/", data=new).status_code == 409, "twice is told"
    assert "section leader of" in words_on(client.get("/access/"))
    with tools.work() as work:
        nia = work.accounts.find_by_name("nia horn")
    assert nia.section_ids == (1, 3)
    assert log_in(app.test_client(), name="NIA HORN").status_code == 303
    client.post(f"/access/{nia.id}", data={"name": "Nia H.", "access": "viewer"})
    client.post(f"/access/{nia.id}/password", data={"password": "quite another one"})
    assert log_in(app.test_client(), name="Nia H.").status_code == 401
    assert log_in(app.test_client(), name="Nia H.", password="quite another one").status_code == 303
    assert client.post(f"/access/{nia.id}/remove").status_code == 303
    assert client.post(f"/access/{nia.id}/remove").status_code == 404
    page = words_on(client.get("/changes/"))
    for words in ("may open the pages as section leader of", "password set", "may no longer open the pages"):
        assert words in page
    assert PASSWORD not in page
    assert "argon2" not in page


def test_the_last_director_stays_one(app, people):
    client, dora = browser_of(app, "Dora Rector"), people["Dora Rector"]
    assert client.post(f"/access/{dora}/remove").status_code == 409
    assert client.post(f"/access/{dora}", data={"name": "Dora", "access": "viewer"}).status_code == 409
    assert client.get("/access/").status_code == 200


@pytest.mark.usefixtures("people")
def test_forms_of_the_door_carry_a_token(app):
    app.config["WTF_CSRF_ENABLED"] = True
    assert log_in(app.test_client()).status_code == 400
    client = app.test_client()
    token = re.search(r'name="csrf_token" value="([^"]+)"', client.get("/log-in").get_data(as_text=True))[1]
    assert log_in(client, csrf_token=token).status_code == 303


def test_served_securely_the_cookie_goes_over_tls_alone(tools):
    add_people(tools)
    app = create_app(tools, ["band.local"], is_secure=True)
    app.config["WTF_CSRF_ENABLED"] = False
    answer = app.test_client().post(
        "/log-in", data={"name": "Vic Ewer", "password": PASSWORD}, base_url="https://band.local"
    )
    cookie = answer.headers["Set-Cookie"]
    assert cookie.startswith("__Host-session=")
    for word in ("Secure", "HttpOnly", "SameSite=Strict", "Path=/"):
        assert word in cookie
