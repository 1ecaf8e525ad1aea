"""Any text in any argument of any command: taken, or refused in a sentence; and words on any terminal."""

import io
import json
import sys

import click
import pytest

from planner.adapters.cli.main import COMMANDS, load_command, main
from planner.adapters.cli.terminal import has_every_letter, speak_plainly
from tests.adapters.attacks import TEXTS
from tests.checks import some
from tests.conftest import wired
from tests.reference import sampled

LONG_WORK = {"demo", "serve", "restudy", "add", "backup", "restore"}
"""Commands that are not run here: they serve, study or copy, and take paths alone."""
PLAUSIBLE = {
    "piece": "Lightly Row", "pieces": "Lightly Row", "other": "Windmill", "section": "Flute", "name": "Ada",
    "term": "Autumn", "day": "2026-12-01", "date": "2026-12-01", "number": "1", "level": "2",
    "file": "none.csv",
}  # fmt: skip
EXPECTED = {0, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 13, 14, 15, 16, 130}
"""What the README lists, and 130 where a password is asked for that nobody types."""


def leaves(command, path):
    """Every command that does something, with the words that call it."""
    if isinstance(command, click.Group):
        for name in command.list_commands(click.Context(command)):
            yield from leaves(command.get_command(click.Context(command), name), (*path, name))
    if not isinstance(command, click.Group) or command.invoke_without_command:
        yield path, command


def calls():
    """Each parameter that takes words, of each command, with each text: as their names."""
    for name in sorted(set(COMMANDS) - LONG_WORK):
        for path, command in leaves(load_command(name), (name,)):
            for asked in command.params:
                if not (
                    getattr(asked, "is_flag", False) or asked.name == "home" or asked.type.name == "choice"
                ):
                    yield from ((path, asked.name, text) for text in TEXTS)


def line_of(path, asked, text):
    """The words after a command's in which one parameter has this text and the needed ones a usual value."""
    command = dict(leaves(load_command(path[0]), path[:1]))[path]
    options, arguments = [], []
    for each in command.params:
        value = TEXTS[text].replace("\0", "\\0") if each.name == asked else PLAUSIBLE.get(each.name, "1")
        if each.name == asked or each.required:
            if isinstance(each, click.Option):
                options += [each.opts[0], value]
            else:
                arguments += [value] * max(1, each.nargs)
    return [*options, "--", *arguments]


PARTS = 20
"""Of the whole sweep, each a slow test."""


@pytest.mark.filterwarnings("ignore::getpass.GetPassWarning")  # nobody types a password here
@pytest.mark.parametrize(
    "part", [None, *(pytest.param(part, marks=pytest.mark.slow) for part in range(PARTS))]
)
def test_any_text_in_any_argument_is_taken_or_refused_in_a_sentence(home, monkeypatch, tmp_path, part):
    monkeypatch.chdir(tmp_path)
    box, wrong, every = wired(home), [], list(calls())
    for path, asked, text in some(sampled(every, 40) if part is None else every[part::PARTS]):
        out, err = io.StringIO(), io.StringIO()
        monkeypatch.setattr(sys, "stdout", out)
        monkeypatch.setattr(sys, "stderr", err)
        monkeypatch.setattr(sys, "stdin", io.StringIO(""))
        line = [*path, "--home", str(home), *line_of(path, asked, text)]
        try:
            code = main(line, build=lambda _: box, serve=print)
        except Exception as error:
            wrong.append(f"{path} {asked} = {text}: {type(error).__name__}: {error}")
            continue
        if code not in EXPECTED or (code and not err.getvalue().strip()):
            wrong.append(f"{path} {asked} = {text}: exit code {code}, {err.getvalue()[:200]}")
    monkeypatch.undo()
    box.close()
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize(("encoding", "printed"), [
    ("ascii", 'A "Suite" - Dvo\\u0159\\xe1k, B\\u05d0 1/2\n'),
    ("latin-1", 'A "Suite" - Dvo\\u0159ák, B\\u05d0½\n'),
    ("utf-8", "A “Suite” – Dvořák, Bא½\n"),
])  # fmt: skip
def test_a_terminal_without_every_letter_loses_none(encoding, printed):
    stream = io.TextIOWrapper(io.BytesIO(), encoding=encoding)
    speak_plainly([stream])
    stream.write("A “Suite” – Dvořák, Bא½\n")
    stream.flush()
    assert stream.buffer.getvalue().decode(encoding) == printed


def test_a_letter_that_is_none_does_not_stop_a_command():
    stream = io.TextIOWrapper(io.BytesIO(), encoding="utf-8")
    speak_plainly([stream])
    stream.write("caf\udce9")
    stream.flush()
    assert stream.buffer.getvalue() == b"caf\\udce9"


@pytest.mark.parametrize("encoding", ["ascii", "utf-8"])
def test_what_programs_read_stays_exact_on_any_terminal(run, monkeypatch, encoding):
    name = "吹奏楽団 “Ω” [bold]x[/bold] :trumpet:"
    assert run("ensembles", "begin", name)[0] == 0
    stream = io.TextIOWrapper(io.BytesIO(), encoding=encoding)
    monkeypatch.setattr(sys, "stdout", stream)
    code = run("ensembles", "--format", "json")[0]
    monkeypatch.undo()
    stream.flush()
    found = json.loads(stream.buffer.getvalue().decode(encoding))
    assert code == 0
    assert name in json.dumps(found, ensure_ascii=False).replace('\\"', '"')
    assert has_every_letter(stream) is (encoding == "utf-8")


def test_nothing_in_a_name_is_taken_for_markup_or_a_sign(run):
    name = "[bold]Brass[/bold] :trumpet:"
    assert run("ensembles", "begin", name)[0] == 0
    code, printed, _ = run("ensembles")
    assert code == 0
    assert name in printed
