"""The figures of the plan in one table: ``python -m tests.benchmarks.plan_figures [NAME …]``.

Quality beside a careful planner, stability, a simulated year, the search's own times, what a director waits
for in a library of 5,000 pieces, and the rules held against other statements of them; each floor
stands beside what was measured. Names pick some of the modules.
"""

import sys

from tests.benchmarks.rows import print_rows

MODULES = ("plan_quality", "plan_stability", "plan_year", "planning", "large_library", "plan_rules")


def main(names: list[str]) -> int:
    """Print the table; as ``print_rows``."""
    return print_rows(names, MODULES)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
