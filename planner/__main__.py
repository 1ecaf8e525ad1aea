"""``python -m planner``: the same as the command ``planner``."""

from planner.bootstrap import run

if __name__ == "__main__":
    run()
