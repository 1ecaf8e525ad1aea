"""What the documents promise is what the program has."""

import re
import subprocess
import sys
from importlib import import_module
from pathlib import Path

from planner.adapters.cli.context import EXIT_CODES
from planner.adapters.cli.main import COMMANDS, load_command
from planner.adapters.web.errors import STATUS
from planner.config import SETTINGS
from planner.services.imports.score_files import SCORE_SUFFIXES
from tests.checks import some

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_every_command_is_in_the_readme_and_has_help():
    for name, (_, summary) in some(COMMANDS.items()):
        assert f"`planner {name}" in README, name
        assert load_command(name).help.startswith(summary), name


def test_every_command_of_every_module_is_in_the_table():
    modules = {module for module, _ in COMMANDS.values()}
    held = {c.name for m in modules for c in import_module(f"planner.adapters.cli.{m}").COMMANDS}
    assert held == set(COMMANDS)


def test_the_list_of_commands_loads_none_of_them():
    """What makes ``planner --help`` quick: neither arrays nor services nor a heavy library is loaded."""
    code = "import sys; from planner.bootstrap import run\ntry: run()\nfinally: print(*sys.modules)"
    found = subprocess.run([sys.executable, "-c", code, "--help"], capture_output=True, text=True, check=True)
    loaded = set(found.stdout.split())
    assert "click" in loaded
    assert not loaded & {
        "numpy",
        "scipy",
        "sqlalchemy",
        "flask",
        "reportlab",
        "verovio",
        "music21",
        "ortools",
    }


def test_looking_at_a_score_loads_neither_the_study_nor_the_library():
    """What makes ``planner inspect`` quick: the child reads and studies, this process puts it into words."""
    code = "import sys; from planner.bootstrap import run\ntry: run()\nfinally: print(*sys.modules)"
    score = ROOT / "sample_library" / "aura-lee.mxl"
    call = [sys.executable, "-c", code, "inspect", str(score)]
    found = subprocess.run(call, capture_output=True, text=True, check=True)
    printed, loaded = found.stdout.split("\n")[0], set(found.stdout.split("\n")[-2].split())
    assert printed == "Aura Lee"
    assert "planner.adapters.scores.worker" in loaded
    assert not loaded & {
        "numpy", "lxml.etree", "sqlalchemy", "planner.study.study", "planner.adapters.scores.reader",
    }  # fmt: skip


def test_the_readme_names_no_command_that_is_not_there():
    named = set(re.findall(r"`planner ([a-z]+)", README))
    assert named <= set(COMMANDS)


def test_every_setting_is_in_the_readme_with_its_default():
    for setting in SETTINGS:
        default = f"{setting.default:g}" if isinstance(setting.default, float) else str(setting.default)
        row = next(line for line in README.splitlines() if f"`PLANNER_{setting.name.upper()}`" in line)
        assert default in row.split("|")[2], setting.name


def test_every_exit_code_is_in_the_readme():
    for code in some(set(EXIT_CODES.values()) - {1}):
        assert f"| {code} |" in README


def test_every_ending_that_counts_in_a_folder_is_in_the_readme():
    listed = re.findall(r"`(\.[a-z]+)`", README.split("## Settings")[0])
    assert sorted(set(listed) - {".toml"}) == sorted(SCORE_SUFFIXES)


def test_the_readme_states_the_job_in_one_paragraph_before_anything_else():
    title, job, heading = README.split("\n\n")[:3]
    assert title.startswith("# ")
    assert len(job.split()) > 60
    assert heading == "## Two commands"


def test_the_two_commands_end_as_promised():
    commands = re.findall(r"```sh\n(python3 .*)\n```", README)
    assert [command.split("/")[-1] for command in commands] == ["planner demo", "pytest"]


def test_exit_codes_and_statuses_speak_of_the_same_errors():
    assert set(EXIT_CODES) == set(STATUS)


def test_every_package_is_in_the_layer_table():
    packages = [path.parent.name for path in (ROOT / "planner").glob("*/__init__.py")]
    for name in some(packages):
        assert f"`planner/{name}`" in DEVELOPERS or name == "adapters"


def paths_in(text: str) -> set[str]:
    """Paths of the project that a text names between backticks."""
    quoted = re.findall(r"`([^`\s]+)`", re.sub(r"```.*?```", "", text, flags=re.DOTALL))
    return {each.rstrip("/") for each in quoted if re.fullmatch(r"\.?[a-z_]+(/[a-zA-Z0-9_.*<>-]+)+/?", each)}


def test_every_path_that_developers_are_sent_to_exists():
    named = {path for path in paths_in(DEVELOPERS) if not path.startswith(".venv/")}
    assert len(named) > 50
    for name in sorted(named):
        pattern = re.sub(r"<[a-z]+>", "*", name)
        places = [ROOT, ROOT / "planner"]
        assert any(list(place.glob(pattern)) for place in places), name


def test_every_page_and_button_that_the_readme_names_is_called_so():
    named = set(re.findall(r"“([A-Z][A-Za-z’' ]+)”", README))
    places = [*(ROOT / "templates").rglob("*.html"), *(ROOT / "planner/adapters/web").rglob("*.js")]
    places += (ROOT / "planner/wording").rglob("*.py")
    shown = "\n".join(path.read_text(encoding="utf-8") for path in places).replace("’", "'")
    assert len(named) > 8
    assert [name for name in sorted(named) if name.replace("’", "'") not in shown] == []
