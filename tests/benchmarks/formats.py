"""Whether kern and ABC files come in whole: voices, notes begun, and every note of a hymn that exists twice.

The counts of the ABC hymns are those of shared data (``abc/counts.csv``, taken from the same hymns in
MusicXML); the kern files are counted here from their text, by another road than the project's.
"""

import csv
import random
import re
from difflib import SequenceMatcher
from functools import cache
from pathlib import Path

from music21 import corpus

from planner.adapters.scores.files.precheck import check_raw
from planner.adapters.scores.reader import read_raw, read_score
from planner.core.score import Part, Score
from planner.errors import ScoreReadError
from tests.benchmarks.rows import Row
from tests.reference import reference_folder, sampled

_KERN_PITCH = re.compile(r"[a-gA-G]")


def begun(score: Score) -> int:
    """Notes that begin to sound."""
    return sum(note.is_struck for part in score.parts for note in part.notes)


def hymns() -> list[tuple[Path, int, int, Path | None]]:
    """The ABC hymns: file, voices, notes begun, and the same hymn in MusicXML."""
    root = reference_folder()
    if root is None or not (root / "abc" / "counts.csv").exists():
        return []
    with (root / "abc" / "counts.csv").open(encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines))
    found = []
    for row in rows:
        same = root / "difficulty" / "hymns" / row["same_as_in_difficulty_hymns"]
        path = root / "abc" / row["file"]
        found.append((path, int(row["voices"]), int(row["notes_begun"]), same if same.is_file() else None))
    return found


@cache
def hymn(path: Path) -> Score | None:
    """A hymn as read; None where it is refused."""
    try:
        return read_score(path)
    except ScoreReadError:
        return None


def sung(part: Part) -> list[tuple[float, str]]:
    """The struck notes of a part in order: how long, up to the end of their ties, and which pitch."""
    found: list[tuple[float, str]] = []
    for note in part.notes:
        if note.pitch is None or note.is_grace:
            continue
        length, name = float(note.duration_quarters), str(note.pitch)
        if note.is_struck:
            found.append((length, name))
        else:
            before = max(at for at, each in enumerate(found) if each[1] == name)
            found[before] = (found[before][0] + length, name)
    return found


def notes_alike(one: Score, other: Score) -> tuple[int, int]:
    """Notes that both scores have, part by part, in the same order; and how many there are in all."""
    same = total = 0
    for ours, theirs in zip(one.parts, other.parts, strict=True):
        a, b = sung(ours), sung(theirs)
        matches = SequenceMatcher(None, a, b, autojunk=False).get_matching_blocks()
        same += sum(block.size for block in matches)
        total += max(len(a), len(b))
    return same, total


def kern_heads(text: str) -> int:
    """Heads of a kern text: tokens with a pitch in columns of ``**kern``, no rest, no grace note."""
    columns: list[bool] = []
    heads = 0
    for line in text.split("\n"):
        cells = line.split("\t")
        if line.startswith("**"):
            columns = [cell == "**kern" for cell in cells]
        elif line.startswith("*"):
            after: list[bool] = []
            joining = False
            for cell, is_kern in zip(cells, columns, strict=False):
                if cell == "*v":
                    after += [] if joining else [is_kern]
                else:
                    after += {"*^": [is_kern] * 2, "*-": [], "*+": [is_kern, False]}.get(cell, [is_kern])
                joining = cell == "*v"
            columns = after
        elif line and line[0] not in "!=":
            for cell, is_kern in zip(cells, columns, strict=False):
                heads += is_kern and sum(
                    bool(_KERN_PITCH.search(head)) and not set(head) & set("rqQ") and "yy" not in head
                    for head in cell.split()
                )
    return heads


def kern_files() -> list[Path]:
    """Kern files of the shared data and of music21's corpus; a seeded sample but in a whole sweep."""
    root = reference_folder()
    shared = sorted((root / "difficulty").rglob("*.krn")) if root else []
    known = sorted(Path(path) for path in corpus.getPaths() if str(path).endswith(".krn"))
    return [*sampled(shared, 8), *sampled(known, 60)]


@cache
def kern_counts() -> tuple[int, int, int]:
    """Kern files in all, those read, and those of them with every head of the text."""
    read = exact = 0
    files = kern_files()
    for path in files:
        text = path.read_text(encoding="utf-8", errors="replace").replace("\r\n", "\n").replace("\r", "\n")
        try:
            score = read_score(path)
        except ScoreReadError:
            continue
        read += 1
        heads = sum(not (n.is_rest or n.is_grace) for part in score.parts for n in part.notes)
        told = any(issue.slug == "notes-differ" for issue in score.issues)
        exact += heads == kern_heads(text) or told
    return len(files), read, exact


def wrong_lengths(count: int = 40) -> tuple[int, int, int]:
    """Kern files of several voices with one length doubled or halved: how many, read, and told as mended.

    Lengths are changed in short files of music21's corpus, drawn with a seed.
    """
    chance = random.Random(8)
    paths = [path for path in kern_files() if path.stat().st_size < 12000]
    read = told = 0
    for _ in range(count):
        lines = chance.choice(paths).read_text(encoding="latin-1").replace("\r\n", "\n").split("\n")
        places = [
            (at, column)
            for at, line in enumerate(lines)
            if line and line[0] not in "*!="
            for column, cell in enumerate(line.split("\t"))
            if re.search("[1248]", cell) and _KERN_PITCH.search(cell) and "q" not in cell
        ]
        at, column = chance.choice(places)
        cells = lines[at].split("\t")
        value = re.search(r"\d+", cells[column])
        assert value is not None
        other = _other(int(value.group()), longer=chance.random() < 0.5)
        cells[column] = cells[column].replace(value.group(), other, 1)
        lines[at] = "\t".join(cells)
        try:
            score = read_raw(check_raw("odd.krn", "\n".join(lines).encode(), ".krn"))
        except ScoreReadError:
            continue
        read += 1
        told += any(issue.slug == "rhythm-mended" for issue in score.issues)
    return count, read, told


def _other(value: int, *, longer: bool) -> str:
    return str(value // 2 if longer and value > 1 else value * 2)


def rows() -> list[Row]:
    """The figures."""
    found = []
    all_hymns = hymns()
    if all_hymns:
        read = [(hymn(path), voices, notes, same) for path, voices, notes, same in all_hymns]
        whole = [(score, voices, notes, same) for score, voices, notes, same in read if score]
        alike = [notes_alike(score, read_score(same)) for score, _, _, same in whole if same]
        found += [
            Row(f"ABC hymns with four voices, of {len(read)}",
                sum(len(score.parts) == voices for score, voices, _, _ in whole), 30, "hymns"),
            Row("  with as many notes begun as counted",
                sum(begun(score) == notes for score, _, notes, _ in whole), 30, "hymns"),
            Row(f"  notes as in the same {len(alike)} hymns in MusicXML",
                sum(same for same, _ in alike) / sum(total for _, total in alike), 0.995,
                note="the others differ in accidentals that hold to the end of a bar"),
        ]  # fmt: skip
    files, read_files, exact = kern_counts()
    found += [
        Row(f"kern files read, of {files}", read_files / files, 1.0),
        Row("  with every head of their text, or an issue that says how many", exact / read_files, 1.0),
    ]
    count, read_odd, told = wrong_lengths()
    found += [
        Row(f"kern with one wrong length read, of {count}", read_odd / count, 0.95),
        Row("  of those, mended with an issue", told / read_odd, 0.95),
    ]
    return found
