"""The figures of the plan in one table: ``python -m tests.benchmarks.plan_figures [NAME …]``.

Quality beside a careful planner, stability, a simulated year, the search's own times, and the rules held
against other statements of them; the floor of each figure stands beside what was measured. Names pick some of
the modules.
"""

import importlib
import sys
import time

from tests.benchmarks.study_figures import line

MODULES = ("plan_quality", "plan_stability", "plan_year", "planning", "plan_rules")


def main(names: list[str]) -> int:
    """Print the table; 1 when a floor is missed, 2 when there is no such module."""
    unknown = sorted(set(names) - set(MODULES))
    if unknown:
        print(f"no figures of {', '.join(unknown)}; choose from {', '.join(MODULES)}")
        return 2
    missed = 0
    for name in names or MODULES:
        begin = time.perf_counter()
        for row in importlib.import_module(f"tests.benchmarks.{name}").rows():
            missed += not row.holds
            print(line(row), flush=True)
        print(f"  … {name}: {time.perf_counter() - begin:.0f} s", flush=True)
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
