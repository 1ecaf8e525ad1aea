"""The figures of the study in one table: ``python -m tests.benchmarks.study_figures [NAME …]``.

Every module of this folder that has a function ``rows`` gives its part; names pick some of them.
"""

import importlib
import pkgutil
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

from tests.benchmarks.rows import Row


def sources() -> Iterator[str]:
    """The modules of this folder that measure something, by name."""
    for found in pkgutil.iter_modules([str(Path(__file__).parent)]):
        text = (Path(__file__).parent / f"{found.name}.py").read_text(encoding="utf-8")
        if "\ndef rows(" in text:
            yield found.name


def line(row: Row) -> str:
    """One row as text."""
    floor = "" if row.floor is None else f"{'≤' if row.at_most else '≥'} {row.floor:g}"
    verdict = "" if row.floor is None else "ok" if row.holds else "BELOW"
    note = f"  ({row.note})" if row.note else ""
    return f"{row.name:<64} {row.value:>9.3f} {row.unit:<7} {floor:<8} {verdict:<5}{note}"


def print_rows(names: Sequence[str], modules: Sequence[str]) -> int:
    """Print the rows of the named modules, or of all, each with its time.

    Returns:
        1 when a floor is missed, 2 when there is no module of some name.
    """
    unknown = sorted(set(names) - set(modules))
    if unknown:
        print(f"no figures of {', '.join(unknown)}; choose from {', '.join(modules)}")
        return 2
    missed = 0
    for name in names or modules:
        begin = time.perf_counter()
        for row in importlib.import_module(f"tests.benchmarks.{name}").rows():
            missed += not row.holds
            print(line(row), flush=True)
        print(f"  … {name}: {time.perf_counter() - begin:.0f} s", flush=True)
    return 1 if missed else 0


def main(names: list[str]) -> int:
    """Print the table; as ``print_rows``."""
    return print_rows(names, tuple(sources()))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
