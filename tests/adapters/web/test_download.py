"""The name under which a browser stores a file: whole for those that know every letter, plain for others."""

import re
from email.message import EmailMessage

import pytest
from flask import Response

from planner.adapters.web.download import named


@pytest.mark.parametrize("name", [
    "größe-čaj.pdf", "吹奏楽団-春.xlsx", "הבה-נגילה.pdf", "🎺.ics", 'a"b\\c.pdf', "a;b=c.csv", "per%cent.pdf",
    "two\r\nlines.pdf",
])  # fmt: skip
def test_the_whole_name_comes_out_of_the_header_again(name):
    """Read by the standard library, by RFC 2231, of which RFC 8187 is the profile for HTTP."""
    header = named(Response(b""), name).headers["Content-Disposition"]
    assert header.isascii()
    assert header.isprintable()
    message = EmailMessage()
    message["Content-Disposition"] = re.sub(r' filename="[^"]*";', "", header)
    assert "".join(message.get_filename().splitlines()) == "".join(name.splitlines())


@pytest.mark.parametrize(("name", "plain"), [
    ("größe.pdf", "groe.pdf"), ("Dvořák.pdf", "Dvorak.pdf"), ("吹奏楽団.xlsx", "planner.xlsx"),
    ('a"b.pdf', "ab.pdf"),
])  # fmt: skip
def test_an_old_browser_gets_plain_letters_with_the_right_ending(name, plain):
    header = named(Response(b""), name, is_shown=True).headers["Content-Disposition"]
    assert header.startswith(f"inline; filename=\"{plain}\"; filename*=UTF-8''")
