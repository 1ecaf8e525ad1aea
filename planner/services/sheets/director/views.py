"""What the director's sheet holds: frozen values that the service fills and an exporter only lays out."""

from dataclasses import dataclass
from datetime import date

from planner.core.fact import Place


@dataclass(frozen=True, slots=True)
class MapBlock:
    """A stretch of written measures, the last included, with its label and a shorter one; may be empty."""

    first: int
    last: int
    label: str
    short: str = ""


@dataclass(frozen=True, slots=True)
class MapMark:
    """Words that stand at the beginning of a written measure, or at its end (``is_after``)."""

    measure: int
    label: str
    is_after: bool = False


@dataclass(frozen=True, slots=True)
class MapSwell:
    """A crescendo, or a diminuendo, over written measures, the last included."""

    first: int
    last: int
    is_louder: bool


@dataclass(frozen=True, slots=True)
class TuneRow:
    """Who has the tune, and in which written measures; several parts that have it rarely share a row."""

    name: str
    places: tuple[Place, ...]


@dataclass(frozen=True, slots=True)
class ScoreMap:
    """A piece drawn over its written measures, which are counted from 0.

    Attributes:
        measures: How many there are.
        numbers: What is printed over each; empty for one without a number.
        sections: The form, by the names on the page or by letters; empty where none is known.
        keys: Sounding keys, one stretch after the other.
        key_row: What the row of keys is called.
        tempos: Tempo words and metronome marks.
        fermatas: Measures in which a fermata stops everyone.
        dynamics: Marks that many parts have together.
        swells: Swells that many parts have together.
        roadmap: Repeats, endings and signs.
        tune: Who has the tune; rows in score order.
        places: The places to look at together; numbered from 1 in their order.
        passage: What is read where that is not the whole piece.
    """

    measures: int
    numbers: tuple[str, ...]
    sections: tuple[MapBlock, ...] = ()
    keys: tuple[MapBlock, ...] = ()
    key_row: str = ""
    tempos: tuple[MapMark, ...] = ()
    fermatas: tuple[int, ...] = ()
    dynamics: tuple[MapMark, ...] = ()
    swells: tuple[MapSwell, ...] = ()
    roadmap: tuple[MapMark, ...] = ()
    tune: tuple[TuneRow, ...] = ()
    places: tuple[Place, ...] = ()
    passage: Place | None = None


@dataclass(frozen=True, slots=True)
class ScriptStep:
    """A step of the reading.

    Attributes:
        at: When it begins, as minutes and seconds from face up.
        name: What it is.
        ask: What the director asks or has the players do.
        answer: What is to be found; may be empty.
        begins: Whether a new part of the reading begins with it.
    """

    at: str
    name: str
    ask: str
    answer: str = ""
    begins: bool = False


@dataclass(frozen=True, slots=True)
class CueLine:
    """Who enters where, and why they need a look."""

    bar: str
    text: str


@dataclass(frozen=True, slots=True)
class PlaceLine:
    """A place for the ensemble: where, what makes it hard for whom, and what to do."""

    where: str
    why: str
    how: str


@dataclass(frozen=True, slots=True)
class SectionLine:
    """A section, or where nobody reads it a part: what it reads, how it will go, and what it should find.

    Attributes:
        name: Of the section with its players, or of the part.
        part: The part it reads where that has another name.
        levels: Of the part, and of the section; empty where not known.
        share: Of 100 bars, how many it is expected to get right; empty where not known.
        span: Between which numbers that lies in about two readings of three.
        verdict: What follows; empty where it can just read the part.
        find, brief: One thing in its own part, and the same in fewer words.
    """

    name: str
    part: str
    levels: str
    share: str
    span: str
    verdict: str
    find: str
    brief: str


@dataclass(frozen=True, slots=True)
class AnswerLine:
    """A question on the players' sheets, and what is right in which parts."""

    question: str
    answer: str


@dataclass(frozen=True, slots=True)
class DirectorSheet:
    """The director's sheet of one piece on one reading day.

    Attributes:
        title, credit: Of the piece; ``credit`` names composer and arranger, may be empty.
        ensemble, on, position: Whose reading day, and the place of the piece in that day (0-based).
        facts: Short label and value pairs for the head of the sheet.
        roadmap: In words to say aloud.
        tempos: The tempos of the readings, as sentences.
        featured: Who leads, as a sentence; may be empty.
        map: The piece over its bars.
        script: What is done by the minute.
        sections: In score order of the ensemble.
        places: In order of the bars.
        cues: In order of the bars.
        answers: To the questions on the players' sheets, the commonest question first.
        help: Who needs help and what is missing, as sentences.
        caution: For everyone in the room.
        made_on, library_version: For the foot of the sheet.
    """

    title: str
    credit: str
    ensemble: str
    on: date
    position: int
    facts: tuple[tuple[str, str], ...]
    roadmap: str
    tempos: tuple[str, ...]
    featured: str
    map: ScoreMap
    script: tuple[ScriptStep, ...]
    sections: tuple[SectionLine, ...]
    places: tuple[PlaceLine, ...]
    cues: tuple[CueLine, ...]
    help: tuple[str, ...]
    caution: str
    made_on: date
    library_version: str
    answers: tuple[AnswerLine, ...] = ()
