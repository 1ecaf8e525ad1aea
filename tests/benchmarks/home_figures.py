"""The figures of library, people and safety in one table.

Run: ``python -m tests.benchmarks.home_figures [NAME …]``; names pick some of the modules. Pages, searches and
freshness in a library of 5,000 pieces, the catalog in and out, many at once, statements of a page, commands
killed on their way, an import over a cluster, the same music in two files; each floor stands beside what was
measured.
"""

import sys

from tests.benchmarks.rows import print_rows

MODULES = ("large_library", "catalogue", "crowd", "statements", "kills", "cluster", "same_music")


def main(names: list[str]) -> int:
    """Print the table; as ``print_rows``."""
    return print_rows(names, MODULES)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
