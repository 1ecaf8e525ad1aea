"""The table of part names, read and weighed against the recogniser; ``python -m tests.core.part_names``."""

import csv
import sys
from dataclasses import dataclass
from pathlib import Path

from planner.core.instruments import INSTRUMENTS, PartPage, Recognition, recognise_together
from planner.core.pitch import Transposition
from planner.core.score import Clef

TABLE = Path(__file__).with_name("part_names.csv")
MORE = Path(__file__).with_name("part_names_more.csv")
CLEFS = {
    "treble": Clef(0, "G", 2), "bass": Clef(0, "F", 4), "alto": Clef(0, "C", 3), "tenor": Clef(0, "C", 4),
    "soprano": Clef(0, "C", 1), "treble-8vb": Clef(0, "G", 2, -1), "percussion": Clef(0, "percussion", 2),
}  # fmt: skip
_MOVES = {i.transposition.semitones: i.transposition for i in INSTRUMENTS}
_NEIGHBOURS = {
    "band": ("Flute:treble", "Oboe:treble", "Clarinet 1:treble:-2", "Alto Saxophone:treble:-9",
             "Trumpet 1:treble:-2", "Horn in F:treble:-7", "Trombone:bass", "Percussion:percussion"),
    "brass band": ("Soprano Cornet:treble:3", "1st Cornet:treble:-2", "Flugelhorn:treble:-2",
                   "1st Tenor Horn:treble:-9", "1st Baritone:treble:-14", "1st Trombone:treble:-14",
                   "Percussion:percussion"),
    "orchestra": ("Flute:treble", "Oboe:treble", "Bassoon:bass", "Horn in F:treble:-7", "Violin I:treble",
                  "Violin II:treble", "Viola:alto"),
    "strings": ("Violin I:treble", "Violin II:treble", "Viola:alto", "Cello:bass"),
    "choir": ("Soprano:treble:sung:60-77", "Alto:treble:sung:55-72", "Tenor:treble-8vb:sung:48-67", "Piano"),
    "jazz": ("Alto Sax 1:treble:-9", "Tenor Sax 1:treble:-14", "Trumpet 1:treble:-2", "Trombone 1:bass",
             "Piano", "Guitar"),
}  # fmt: skip
"""Other parts of the score, as the page has them; the part in question stands behind them."""


@dataclass(frozen=True)
class Row:
    """A name as printed, where it stands, and what musicians take it for."""

    number: int
    name: str
    kind: str
    page: PartPage
    expected: tuple[str, ...]

    def found(self) -> Recognition:
        """What the recogniser makes of it among the other parts of the score."""
        return recognise_together((*neighbours(self.kind), self.page))[-1]

    def verdict(self) -> str:
        """``right``, ``asked`` or ``wrong``."""
        found = self.found()
        if not found.is_sure:
            return "right" if "ask" in self.expected else "asked"
        return "right" if found.instrument in self.expected else "wrong"


def neighbours(kind: str) -> tuple[PartPage, ...]:
    return tuple(_neighbour(text) for text in _NEIGHBOURS.get(kind, ()))


def _neighbour(text: str) -> PartPage:
    name, *rest = text.split(":")
    clef = next((CLEFS[each] for each in rest if each in CLEFS), None)
    move = next((_MOVES[int(each)] for each in rest if each.lstrip("-").isdigit()), None)
    spans = [each.split("-") for each in rest if each[:1].isdigit() and "-" in each]
    compass = (int(spans[0][0]), int(spans[0][1])) if spans else None
    return PartPage(name, transposition=move, clef=clef, is_sung="sung" in rest, compass=compass)


def rows(table: Path = TABLE) -> list[Row]:
    """Every row of the table, numbered from 1."""
    lines = [line for line in table.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return [_row(number, row) for number, row in enumerate(csv.DictReader(lines, delimiter=";"), start=1)]


def _row(number: int, row: dict[str, str]) -> Row:
    move: Transposition | None = _MOVES[int(row["move"])] if row["move"] else None
    page = PartPage(
        name=row["name"].replace("\\n", "\n"),
        sound=row["sound"],
        transposition=move,
        clef=CLEFS.get(row["clef"]),
        is_percussion=row["clef"] == "percussion",
        compass=(int(row["low"]), int(row["high"])) if row["low"] else None,
        is_sung=row["sung"] == "1",
    )
    return Row(number, row["name"], row["kind"], page, tuple(row["expected"].split("/")))


def half(of: int) -> list[Row]:
    """The odd rows (1), which were tuned on, or the even ones (0)."""
    return [row for row in rows() if row.number % 2 == of]


def main(shown: str) -> None:
    """Print both halves, with the rows of the half named that are not right."""
    for name, of in (("odd", 1), ("even", 0)):
        verdicts = [(row, row.verdict()) for row in half(of)]
        counts = {each: sum(v == each for _, v in verdicts) for each in ("right", "asked", "wrong")}
        print(name, len(verdicts), counts)
        for row, verdict in verdicts:
            if verdict != "right" and shown in (name, "both"):
                found = row.found()
                print(
                    f"  {verdict:6} {row.name!r} ({row.kind}): {found.instrument} {found.confidence} "
                    f"{found.doubts} for {'/'.join(row.expected)}"
                )


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else "")
