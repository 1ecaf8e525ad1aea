"""Every figure of the players' sheets in one table with its floor.

Run: ``python -m tests.benchmarks.sheet_figures [NAME …]`` (ten minutes). The slow tests hold the floors.
"""

import sys

from tests.benchmarks.rows import print_rows

MODULES = ("coach_sheets", "sheet_truth", "sheet_words", "readability", "sheet_layout", "guides")

if __name__ == "__main__":
    sys.exit(print_rows(sys.argv[1:], MODULES))
