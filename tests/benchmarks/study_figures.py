"""The figures of the study in one table: ``python -m tests.benchmarks.study_figures [NAME …]``.

Every module of this folder that has a function ``rows``, and no other table to stand in, gives its part;
names pick some of them.
"""

import pkgutil
import sys
from collections.abc import Iterator
from pathlib import Path

from tests.benchmarks import home_figures, plan_figures
from tests.benchmarks.rows import print_rows

ELSEWHERE = {*home_figures.MODULES, *plan_figures.MODULES} - {"plan_rules", "same_music"}
"""What has a table of its own."""


def sources() -> Iterator[str]:
    """The modules of this folder that measure something, by name."""
    for found in pkgutil.iter_modules([str(Path(__file__).parent)]):
        text = (Path(__file__).parent / f"{found.name}.py").read_text(encoding="utf-8")
        if "\ndef rows(" in text and found.name not in ELSEWHERE:
            yield found.name


def main(names: list[str]) -> int:
    """Print the table; as ``print_rows``."""
    return print_rows(names, tuple(sources()))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
