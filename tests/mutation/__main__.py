"""Plant small faults and see whether the quick tests notice.

``python -m tests.mutation map`` records which quick test runs which line (with paths: only the tests there,
after they changed). ``python -m tests.mutation run`` draws a seeded sample of faults, runs for each the quick
tests that run its line, and prints a table and the survivors; what was worked out before is kept as long as
the module is the same, so that a run may be stopped and taken up again. ``--only`` takes a part of a path,
``--again`` tries the survivors once more. Faults shown to change nothing are in ``equivalent.toml``.
"""

import argparse
import hashlib
import json
import tomllib
from collections import Counter
from pathlib import Path

from tests.mutation.fork import Outcome, run_mutant, sound_tests, warm_up
from tests.mutation.lines import FOLDER, record
from tests.mutation.mutants import ROOT, Mutant, mutants_of, target_files

FLOOR = 0.85
"""Share of the sample that the quick tests must notice."""
WORK_S = 20.0
"""Tests for one fault are added, nearest first, up to so many seconds of processor time."""
MAP, RESULTS = FOLDER / "lines.json", FOLDER / "results.jsonl"
EQUIVALENT = Path(__file__).with_name("equivalent.toml")


def main() -> int:
    """Run one of the commands."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("command", choices=("map", "run", "show"))
    parser.add_argument("paths", nargs="*", help="for map: only the tests here")
    parser.add_argument("--only", action="append", default=[], help="part of a module's path")
    parser.add_argument("--sample", type=int, default=400)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--again", action="store_true", help="try the survivors once more")
    parser.add_argument("--workers", type=int, default=2)
    asked = parser.parse_args()
    FOLDER.mkdir(exist_ok=True)
    if asked.command == "map":
        known = read(MAP) if asked.paths else {}
        found = record(asked.paths, asked.workers)
        again = {test.split("::")[0] for test in found}
        MAP.write_text(json.dumps({t: v for t, v in known.items() if t.split("::")[0] not in again} | found))
        print(f"{len(found)} tests recorded")
        return 0
    listed = equivalents()
    mutants = [m for m in drawn(asked.sample, asked.seed, listed) if is_asked(m, asked.only)]
    results = read_results()
    if asked.command == "run":
        run(mutants, results, again=asked.again)
    return report(mutants, results)


def read(path: Path) -> dict:
    """A stored table; empty where none is."""
    return json.loads(path.read_text(encoding="utf-8")) if path.exists() else {}


def read_results() -> dict:
    """What is known of each fault; the last word on it counts."""
    if not RESULTS.exists():
        return {}
    rows = map(json.loads, RESULTS.read_text(encoding="utf-8").splitlines())
    return {row.pop("fault"): row for row in rows}


def equivalents() -> dict[str, str]:
    """Faults that change nothing, with the reason."""
    rows = tomllib.loads(EQUIVALENT.read_text(encoding="utf-8")).get("fault", [])
    return {row["name"]: row["reason"] for row in rows}


def drawn(sample: int, seed: int, without: dict[str, str]) -> list[Mutant]:
    """The sample: the faults first in the draw, those that change nothing left out."""
    every = [mutant for path in target_files() for mutant in mutants_of(path)]
    for name in without.keys() - {mutant.name for mutant in every}:
        print(f"no longer there, to be taken out of {EQUIVALENT.name}: {name}")
    kept = [mutant for mutant in every if mutant.name not in without]
    first = sorted(kept, key=lambda mutant: mutant.rank(seed))[:sample]
    return sorted(first, key=lambda mutant: (mutant.file, mutant.number))


def is_asked(mutant: Mutant, only: list[str]) -> bool:
    """Whether the fault is in a module asked for."""
    return not only or any(part in mutant.file for part in only)


def key(mutant: Mutant) -> str:
    """The fault in the module as it is now."""
    source = (ROOT / mutant.file).read_bytes()
    return f"{hashlib.sha256(source).hexdigest()[:12]} {mutant.number} {mutant.name}"


def run(mutants: list[Mutant], results: dict, *, again: bool) -> None:
    """Work out what is not known yet."""
    lines = read(MAP)
    if not lines:
        raise SystemExit("No map of lines yet: run `python -m tests.mutation map` first.")
    names = {mutant: key(mutant) for mutant in mutants}  # now: a module may change while this runs
    ends = {mutant: results.get(name, {}).get("end", "") for mutant, name in names.items()}
    todo = [m for m in mutants if not ends[m] or (again and ends[m] in ("lived", "unrun"))]
    warm_up()
    chosen = {mutant: tests_for(mutant, lines) for mutant in todo}
    sound = sound_tests(sorted({test for tests in chosen.values() for test in tests}))
    for at, mutant in enumerate(todo, start=1):
        tests = [test for test in chosen[mutant] if test in sound]
        work = sum(lines[test]["seconds"] for test in tests)
        found = run_mutant(mutant, tests, work) if tests else Outcome("unrun", "", 0.0)
        row = {"end": found.end, "by": found.by, "seconds": found.seconds}
        results[names[mutant]] = row
        with RESULTS.open("a", encoding="utf-8") as out:  # a line at a time: two runs may go side by side
            out.write(json.dumps({"fault": names[mutant], **row}) + "\n")
        print(f"{at}/{len(todo)} {found.end} {found.seconds:.1f} s {mutant.name}", flush=True)


def tests_for(mutant: Mutant, lines: dict) -> list[str]:
    """The quick tests that run the fault's line, those of its own room first, then the cheapest."""
    first, last = mutant.lines
    here = [
        t for t, seen in lines.items() if any(first <= n <= last for n in seen["lines"].get(mutant.file, ()))
    ]
    if not here or mutant.is_on_import:  # run once, when the module is loaded: whatever uses the module
        here = [test for test, seen in lines.items() if mutant.file in seen["lines"]]
    here.sort(key=lambda test: (-nearness(mutant.file, test), lines[test]["seconds"]))
    chosen, work = [], 0.0
    for test in here:
        if not chosen or work + lines[test]["seconds"] <= WORK_S:
            chosen.append(test)
            work += lines[test]["seconds"]
    return chosen


def nearness(file: str, test: str) -> int:
    """How many folders of the module's path the test's path mirrors; its own name counts as one."""
    module, own = (
        file.removesuffix(".py").split("/")[1:],
        test.split("::")[0].removesuffix(".py").split("/")[1:],
    )
    same = 0
    for a, b in zip(module, own, strict=False):
        if a != b.removeprefix("test_"):
            break
        same += 1
    return same


def report(mutants: list[Mutant], results: dict) -> int:
    """Print the table and the survivors; 1 where the floor is not reached."""
    ends: dict[str, Counter] = {}
    for mutant in mutants:
        end = results.get(key(mutant), {"end": "not yet"})["end"]
        ends.setdefault(mutant.file.rpartition("/")[0], Counter())[end] += 1
    whole = sum(ends.values(), Counter())
    print(f"\n{'room':36}{'faults':>8}{'noticed':>9}{'lived':>7}{'unrun':>7}{'not yet':>9}")
    for room, count in [*sorted(ends.items()), ("all", whole)]:
        row = (sum(count.values()), count["noticed"], count["lived"], count["unrun"], count["not yet"])
        print(f"{room:36}{row[0]:8}{row[1]:9}{row[2]:7}{row[3]:7}{row[4]:9}")
    survivors = [m for m in mutants if results.get(key(m), {}).get("end") in ("lived", "unrun")]
    for mutant in survivors:
        print(f"  {mutant.file}:{mutant.line} {results[key(mutant)]['end']}: {mutant.name}")
    done = whole.total() - whole["not yet"]
    share = whole["noticed"] / done if done else 0.0
    print(f"noticed {whole['noticed']} of {done}: {share:.1%}; the floor is {FLOOR:.0%}")
    return int(share < FLOOR)


if __name__ == "__main__":
    raise SystemExit(main())
