"""Digests of what the study stores of some scores, by version of the study.

``python -m tests.study.golden`` writes those of the version that ``planner/study/version.py``
names. It refuses to write over a version that is on record: libraries out there hold studies
of it, and only a higher number has them made again. ``--unreleased`` writes over it all the
same; it is for the change that raised the number, before anybody else has used it.
"""

import hashlib
import json
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from planner.adapters.scores.reader import read_score
from planner.config import packaged
from planner.core.profile import PieceProfile, profile_to_json
from planner.study.study import study
from planner.study.version import STUDY_VERSION

RECORD = Path(__file__).parents[1] / "golden" / "study.json"
TINY = Path(__file__).parents[1] / "scores"
SAMPLES = (
    "lightly-row", "windmill", "two-left-feet", "merry-gentlemen", "orpheus-galop", "corner-cafe",
    "bright-morning-overture", "surprise",
)  # fmt: skip
UPDATE = "python -m tests.study.golden"

Digests = Mapping[str, Mapping[str, str]]
"""Name of the score to name of each stored field to its digest."""


def scores() -> list[Path]:
    """The files whose studies are on record: sample pieces, and every tiny score of the tests."""
    return [packaged("sample_library") / f"{name}.mxl" for name in SAMPLES] + sorted(TINY.glob("*.musicxml"))


def digests() -> dict[str, dict[str, str]]:
    """What this program's study stores of each of the scores."""
    return {path.name: fields_of(study(read_score(path))) for path in scores()}


def fields_of(profile: PieceProfile) -> dict[str, str]:
    """A digest of each stored field. Numbers count to six digits: the last ones are the machine's."""
    data = json.loads(profile_to_json(profile))
    del data["study_version"]
    return {name: _digest(value) for name, value in data.items()}


def _digest(value: Any) -> str:
    text = json.dumps(_rounded(value), ensure_ascii=False, sort_keys=True)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:12]


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return float(f"{value:.6g}")
    if isinstance(value, list):
        return [_rounded(each) for each in value]
    if isinstance(value, dict):
        return {name: _rounded(each) for name, each in value.items()}
    return value


def recorded() -> dict[str, dict[str, dict[str, str]]]:
    """The record: version of the study to its digests."""
    found: dict[str, dict[str, dict[str, str]]] = json.loads(RECORD.read_text(encoding="utf-8"))
    return found


def differences(before: Digests, now: Digests) -> list[str]:
    """Which fields of which scores are not the same."""
    found = []
    for name in sorted({**before, **now}):
        one, other = before.get(name, {}), now.get(name, {})
        fields = sorted(field for field in {**one, **other} if one.get(field) != other.get(field))
        if fields:
            found.append(f"{name}: {', '.join(fields)}")
    return found


def what_to_do(changed: Sequence[str]) -> str:
    """What someone is told who changed what is stored."""
    return "\n".join([
        f"What the study stores is not what version {STUDY_VERSION} stored:",
        *(f"  {line}" for line in changed),
        "If that is meant, raise STUDY_VERSION in planner/study/version.py, so that stored pieces are",
        f"studied again, then record it: {UPDATE}",
    ])  # fmt: skip


def write(*, is_unreleased: bool) -> str:
    """Record the digests of this version; a sentence on what was done.

    Raises:
        SystemExit: If the version is on record with others, and may have been used.
    """
    now, record = digests(), recorded() if RECORD.is_file() else {}
    before = record.get(str(STUDY_VERSION))
    changed = differences(before or {}, now)
    if before is not None and not changed:
        return f"Version {STUDY_VERSION} is on record already, just so."
    if before is not None and not is_unreleased:
        raise SystemExit(what_to_do(changed))
    record[str(STUDY_VERSION)] = now
    RECORD.parent.mkdir(exist_ok=True)
    text = json.dumps(record, ensure_ascii=False, indent=1, sort_keys=True)
    RECORD.write_text(text + "\n", encoding="utf-8")
    return f"Version {STUDY_VERSION} is on record with {len(now)} scores."


if __name__ == "__main__":
    print(write(is_unreleased="--unreleased" in sys.argv[1:]))
