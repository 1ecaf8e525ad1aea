"""Forms of pages as a browser would send them."""

import re
from html import unescape

from werkzeug.datastructures import MultiDict


def text_of(answer):
    return unescape(answer.get_data(as_text=True))


def form_on(page, action):
    """The fields of the first form with such an address, as a browser would send them untouched."""
    found = re.search(rf"<form[^>]*action=\"[^\"]*{re.escape(action)}\"[^>]*>(.*?)</form>", page, re.DOTALL)
    return fields_of(found[1])


def fields_of(inside):
    fields = MultiDict()
    for tag in re.findall(r"<input[^>]*>", inside):
        values = dict(re.findall(r"([a-z]+)=\"([^\"]*)\"", tag))
        is_sent = values.get("type") != "checkbox" or " checked" in tag
        if is_sent and values["name"] != "csrf_token":
            fields.add(values["name"], unescape(values.get("value", "")))
    for name, text in re.findall(r"<textarea name=\"([\w-]+)\"[^>]*>(.*?)</textarea>", inside, re.DOTALL):
        fields.add(name, unescape(text).removeprefix("\n").replace("\n", "\r\n"))
    for name, options in re.findall(r"<select name=\"([a-z_]+)\"[^>]*>(.*?)</select>", inside, re.DOTALL):
        first = re.search(r"<option value=\"([^\"]*)\"", options)
        chosen = re.search(r"<option value=\"([^\"]*)\" selected", options) or first
        fields.add(name, unescape(chosen[1]))
    return fields


def edit_form(client):
    page = client.get("/term/1/edit").get_data(as_text=True)
    return fields_of(
        re.search(r"<form method=\"post\" class=\"term-form\"[^>]*>(.*?)</form>", page, re.DOTALL)[1]
    )


def day_form(client, on, action):
    return form_on(client.get(f"/term/1/{on}/change").get_data(as_text=True), f"{on}/{action}")


def details_of(client, piece_id, **values):
    """The catalog form of a piece as a browser sends it, with some values typed anew."""
    page = client.get(f"/library/{piece_id}").get_data(as_text=True)
    return with_values(form_on(page, f"/library/{piece_id}/correct"), **values)


def with_values(form, /, **values):
    changed = MultiDict(form)
    for name, value in values.items():
        changed.setlist(name, value if isinstance(value, list) else [value])
    return changed


def undo(client, tools):
    with tools.work() as work:
        newest = work.changes.list_changes(1)[0].id
    assert client.post(f"/changes/{newest}/undo").status_code == 302
