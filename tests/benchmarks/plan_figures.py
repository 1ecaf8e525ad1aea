"""The figures of the plan in one table: ``python -m tests.benchmarks.plan_figures [NAME …]``.

Quality beside a careful planner, stability, a simulated year and the search's own times; the floors of each
stand beside what was measured. Names pick some of the modules.
"""

import sys

from tests.benchmarks import study_figures

MODULES = ("plan_quality", "plan_stability", "plan_year", "planning", "plan_rules")


def main(names: list[str]) -> int:
    """Print the table; 1 when a floor is missed."""
    return study_figures.main(names or list(MODULES))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
