"""What the study of a piece found: the ``PieceProfile`` and its stable JSON form.

Every value is JSON-native (str, int, float, bool, tuple, nested dataclass), field
names are the JSON keys, so ``profile_from_json(profile_to_json(p)) == p`` and the
same score always gives the same bytes. ``measure`` is a 0-based written position.
New fields may be added with a default; none may be renamed or removed within
``PROFILE_VERSION``.
"""

import json
import types
from collections.abc import Callable, Iterable, Iterator
from dataclasses import asdict, dataclass, fields, is_dataclass
from datetime import date
from enum import Enum, StrEnum
from functools import cache
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from planner.core.difficulty import Challenge, ChallengeKind, Dimension, Measured
from planner.core.fact import Fact, Place, in_reading_order
from planner.core.glossary.terms import TermKind
from planner.core.issue import Issue
from planner.core.score import RoadmapMark

PROFILE_FORMAT = "piece-profile"
PROFILE_VERSION = 1

Function = Literal["tonic", "predominant", "dominant", "other"]

GroupingSource = Literal["printed", "words", "beams", "accents", "bass", "rhythm", "custom"]
"""What shows a grouping: the signature, words, the notes in one way or another; ``custom``: nothing does."""

TempoSource = Literal["metronome", "words", "playback", "assumed"]
"""What gives a tempo: a printed number, printed words, a number in the file alone, or nothing."""


@dataclass(frozen=True, slots=True)
class MeterSpan:
    """A meter from a measure on.

    ``grouping`` counts the felt pulses in units of the lower number; ``confidence`` is 0 to 1; ``is_printed``
    is False where the bars are so but the page has no such signature.
    """

    measure: int
    time: str
    grouping: tuple[int, ...]
    confidence: float = 1.0
    source: GroupingSource = "printed"
    is_printed: bool = True


TurnKind = Literal["repeat", "ending", "coda", "fine", "close", "da-capo", "dal-segno"]


@dataclass(frozen=True, slots=True)
class RoadmapTurn:
    """A place where play leaves the page order.

    Attributes:
        at: How many measures have been played before it.
        kind: What it is; ``close`` is an end before a trio that no *Fine* marks.
        target: Measure it leads to (for ``fine`` and ``close``: where it ends).
        numbers: For an ending its numbers; for a repeat which time it now is.
        last: For an ending its last measure; else -1.
        takes_repeats: For a jump whether the repeats met after it are taken; None when it meets none.
    """

    at: int
    kind: TurnKind
    target: int
    numbers: tuple[int, ...] = ()
    last: int = -1
    takes_repeats: bool | None = None


@dataclass(frozen=True, slots=True)
class Roadmap:
    """The order in which written measures are played, where it leaves the page order, and the marks.

    ``with_repeats`` is the other usual reading, with the repeats taken again after a jump back; empty
    where the page leaves no such choice. ``marks`` are those of all pages together, each once.
    """

    play_order: tuple[int, ...]
    turns: tuple[RoadmapTurn, ...] = ()
    with_repeats: tuple[int, ...] = ()
    marks: tuple[RoadmapMark, ...] = ()


class KeyRelation(StrEnum):
    """How a local key is related to the home key; empty for a distant one.

    Source: common practice names of the closely related keys.
    """

    HOME = "home key"
    RELATIVE_MINOR = "relative minor"
    RELATIVE_MAJOR = "relative major"
    PARALLEL_MINOR = "parallel minor"
    PARALLEL_MAJOR = "parallel major"
    DOMINANT = "dominant"
    DOMINANT_MINOR = "dominant minor"
    DOMINANT_MAJOR = "dominant major"
    SUBDOMINANT = "subdominant"
    SUBDOMINANT_MINOR = "subdominant minor"
    SUBDOMINANT_MAJOR = "subdominant major"
    SUPERTONIC_MINOR = "supertonic minor"
    MEDIANT_MINOR = "mediant minor"
    SUBMEDIANT_MAJOR = "submediant major"
    SUBTONIC_MAJOR = "subtonic major"
    DISTANT = ""


@dataclass(frozen=True, slots=True)
class KeySpan:
    """A local key (``"Bb major"``) from a place on, with how it relates to the home key."""

    measure: int
    key: str
    relation: KeyRelation = KeyRelation.DISTANT
    offset_quarters: float = 0.0


@dataclass(frozen=True, slots=True)
class SignatureSpan:
    """A key signature on a part's own page, from a place on.

    ``key`` is the key it belongs to, empty beyond seven signs; ``fifths`` counts sharps, flats below 0.
    """

    measure: int
    key: str
    fifths: int = 0
    offset_quarters: float = 0.0


@dataclass(frozen=True, slots=True)
class PrintedSignature:
    """A key signature as printed on one staff of a part, at written pitch, also where it changes nothing.

    ``staff`` counts from 1 at the top of the part; ``fifths`` counts sharps, flats below 0; ``mode`` is
    empty where the page does not say; ``offset_quarters`` counts from the start of the measure.
    """

    measure: int
    staff: int
    fifths: int
    mode: str = ""
    offset_quarters: float = 0.0


@dataclass(frozen=True, slots=True)
class SureKey:
    """A stretch in another key than the home key, beyond doubt.

    It lasts from the first note that its signature does not have to its last close.

    Attributes:
        key: The key, sounding (``"Bb major"``).
        measure: First measure.
        end_measure: Last one.
    """

    key: str
    measure: int
    end_measure: int


@dataclass(frozen=True, slots=True)
class HarmonySpan:
    """One chord from a place on: its root and its function in the local key."""

    measure: int
    offset_quarters: float
    function: Function
    root: str
    quality: str = ""


CadenceKind = Literal["authentic", "half", "plagal", "deceptive"]


@dataclass(frozen=True, slots=True)
class Cadence:
    """A point of rest: where it arrives, in which key."""

    measure: int
    offset_quarters: float
    kind: CadenceKind
    key: str


INTRODUCTION = "introduction"
"""Label of a first section that leads to the first letter."""
CODA = "coda"
"""Label of a last section that closes the piece after the last return."""
OPENING = "opening"
"""Label of a first section that has no name on a page that names others."""


PRIME = "′"
"""Marks the label of a section that varies an earlier one."""


@dataclass(frozen=True, slots=True)
class FormSection:
    """A stretch of the written score with its label.

    The label is a letter (equal letters are alike, a prime marks a variant), ``INTRODUCTION`` or ``CODA``.
    Where the page names sections, what comes first with a printed name has that name in place of a letter,
    and what comes before the first name is ``OPENING``.

    Attributes:
        name: As the page names it where it begins: a rehearsal mark, or what it is (``"Trio"``); or empty.
    """

    label: str
    measure: int
    end_measure: int
    name: str = ""

    @property
    def tune(self) -> str:
        """The label of the section that it brings again, varied or not; its own where it is new.

        Example:
            >>> FormSection("A′", 8, 15).tune
            'A'
        """
        return self.label.rstrip(PRIME)

    @property
    def is_variant(self) -> bool:
        """Whether it varies an earlier section.

        Example:
            >>> FormSection("A′", 8, 15).is_variant
            True
        """
        return self.label.endswith(PRIME)


@dataclass(frozen=True, slots=True)
class Phrase:
    """A phrase of the leading melody, end included."""

    measure: int
    end_measure: int


@dataclass(frozen=True, slots=True)
class MelodySpan:
    """The part that has the tune from a place on, until the next; empty where nobody plays."""

    measure: int
    offset_quarters: float
    part: str


@dataclass(frozen=True, slots=True)
class Tempo:
    """Tempos in beats of ``unit`` a minute.

    ``marked`` is None when the page gives neither number nor word; ``low`` and
    ``high`` bound what the marking allows; ``reading`` is where the ensemble can
    manage it; ``first_reading`` is a few metronome marks below that. ``words`` are
    those on the page that give the tempo, ``table_word`` the one by which tables list them.
    """

    marked: float | None
    unit: str
    reading: int
    low: float | None = None
    high: float | None = None
    first_reading: int | None = None
    source: TempoSource = "assumed"
    words: str = ""
    table_word: str = ""


@dataclass(frozen=True, slots=True)
class TempoSpan:
    """A tempo from a place on, as the page asks for it and as it can first be read.

    Attributes:
        measure: Where it begins.
        quarter_bpm: Quarters a minute; where the page gives no number, what its words and notes allow.
        offset_quarters: Place in the measure.
        bpm: The same in beats of ``unit``.
        unit: The beat it counts.
        source: What gives it.
        words: Words printed there; empty without any.
        first_reading: Beats of ``unit`` a minute for the first reading; None before it is settled.
    """

    measure: int
    quarter_bpm: float
    offset_quarters: float = 0.0
    bpm: float = 0.0
    unit: str = "quarter"
    source: TempoSource = "assumed"
    words: str = ""
    first_reading: int | None = None


@dataclass(frozen=True, slots=True)
class TempoTurn:
    """A change of tempo to ``bpm`` beats of ``unit`` a minute, with the words printed there (empty: none).

    With ``words`` as source the number is what they are taken to mean. Where the page sets two notes equal,
    ``note_now`` is from here on as long as ``note_before`` was before; both are empty elsewhere.
    """

    measure: int
    bpm: float
    unit: str
    source: TempoSource
    words: str = ""
    note_now: str = ""
    note_before: str = ""


@dataclass(frozen=True, slots=True)
class Contribution:
    """One dimension's share in a level: its own level, its weight, and what was measured for it."""

    name: Dimension
    level: float
    weight: float
    evidence: tuple[Measured, ...] = ()


@dataclass(frozen=True, slots=True)
class Spot:
    """A hard place in a part, from ``measure`` to ``end_measure`` included; its heaviest challenge first."""

    measure: int
    challenges: tuple[Challenge, ...] = ()
    end_measure: int | None = None
    weight: float = 0.0

    @property
    def kinds(self) -> tuple[ChallengeKind, ...]:
        """What makes it hard, the heaviest first."""
        return tuple(challenge.kind for challenge in self.challenges)


class AccidentalKind(StrEnum):
    """Why a reader should know of a note name in a part."""

    FIRST = "first"
    """Notes foreign to the signature."""
    AGAIN = "again"
    """Notes altered a second time in a bar, without a new sign."""
    COURTESY = "courtesy"
    """Signs that only remind."""
    ENHARMONIC = "enharmonic"
    """Spellings that sound as another natural note, or as a note of another name just played."""
    BACK = "back"
    """Notes of the signature whose sign takes back an accidental of their bar."""


@dataclass(frozen=True, slots=True)
class AccidentalUse:
    """A note name with an accidental that a reader of a part should know.

    Attributes:
        measure: Where it stands first.
        pitch: Its written name, without octave.
        kind: Why to know of it.
        times: How often it is so.
        measures: Every measure in which it is so, ascending.
        sounds_as: Of an enharmonic spelling, the plain name of the same pitch, at its first place.
        just_played: Of an enharmonic spelling, the name under which that pitch was played shortly before.
    """

    measure: int
    pitch: str
    kind: AccidentalKind
    times: int = 1
    measures: tuple[int, ...] = ()
    sounds_as: str = ""
    just_played: str = ""


@dataclass(frozen=True, slots=True)
class DynamicUse:
    """A dynamic mark, or a hairpin (``crescendo``/``diminuendo``) with its end.

    ``sudden_from`` is the lasting mark just before it where the step is large and no swell leads there.
    """

    measure: int
    mark: str
    end_measure: int | None = None
    sudden_from: str = ""


@dataclass(frozen=True, slots=True)
class Articulation:
    """How often a kind of articulation stands in a part, and where first."""

    name: str
    count: int
    measure: int


class PatternKind(StrEnum):
    """What repeats in a part."""

    REPEAT = "repeat"
    """A stretch that comes again elsewhere: the same notes, or the same shape higher or lower."""
    SEQUENCE = "sequence"
    """A figure stated again at once, each time moved by the same step."""
    RHYTHM = "rhythm"
    """One rhythm in many bars, whatever the pitches."""
    OSTINATO = "ostinato"
    """A figure stated again and again at once on the same notes."""
    UNISON = "unison"
    """Notes that other parts strike with this one, in any octave."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """A repeating pattern in a part.

    Attributes:
        kind: What repeats.
        places: First and last measure of each appearance; one stretch for a sequence or an ostinato.
        covers: Share of the part's notes in it, 0 to 1.
        with_parts: The other parts of a unison.
        notes: Notes of the figure, the rhythm or the stretch; 0 for a unison.
        times: How often running a sequence or an ostinato states its figure.
        steps: Steps of the staff, upward above 0: of a sequence from each figure to the next; of a shape
            that comes again from the first place to each later one. Empty where the notes are the same.
        fills_bars: That a repeat is made of whole bars, in all its places.
        has_top_line: That the part of a unison is the highest of all there, with a moving line.
        octaves: How many octaves the part of a unison sounds above each of the others, 0 in unison, below 0
            where it is lower; empty where that changes on the way.
        staff: The staff of a shape, a rhythm, a sequence or an ostinato, from the top, in a part with
            several; 0 for a part with one, and for what concerns all staves.
        moves: How often the line of a repeat goes to another pitch.
    """

    kind: PatternKind
    places: tuple[tuple[int, int], ...]
    covers: float = 0.0
    with_parts: tuple[str, ...] = ()
    notes: int = 0
    times: int = 1
    steps: tuple[int, ...] = ()
    fills_bars: bool = False
    has_top_line: bool = False
    octaves: tuple[int, ...] = ()
    staff: int = 0
    moves: int = 0


@dataclass(frozen=True, slots=True)
class TermUse:
    """A term of the glossary on the page and the degree words beside it, as ``core.glossary`` spells them."""

    term: str
    degrees: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Expression:
    """Words of tempo, character or style as printed.

    Attributes:
        measure: Where they stand.
        text: The words.
        kind: What they are about.
        terms: The terms that they are made of; empty where they are not understood as a whole.
        moves_tempo: Whether they ask for another speed than the one in force, or for one that changes.
    """

    measure: int
    text: str
    kind: TermKind = TermKind.CHARACTER
    terms: tuple[TermUse, ...] = ()
    moves_tempo: bool = False


@dataclass(frozen=True, slots=True)
class Excerpt:
    """A self-contained passage of whole phrases to read when the whole piece does not fit the time.

    Attributes:
        measure, end_measure: Its first and last measure.
        minutes: Its playing time at the marked tempo.
        level: Its own level; None where it was not rated.
        keeps: The skills (``FOCUSES``) of which at least half of the piece's evidence lies in it.
        begins_section: A section, a rehearsal mark or a double bar stands where it begins.
        ends_closed: A section or an authentic cadence ends with it.
        is_whole: It is the whole piece, once through.
        first_minutes: Its playing time at the tempos of the first reading; None when not worked out.
    """

    measure: int
    end_measure: int
    minutes: float
    level: float | None = None
    keeps: tuple[str, ...] = ()
    begins_section: bool = False
    ends_closed: bool = False
    is_whole: bool = False
    first_minutes: float | None = None


class LandmarkKind(StrEnum):
    """What shows on a part's page that a place begins there, the plainest first."""

    NAME = "name"
    """A rehearsal mark or a heading."""
    NUMBER = "number"
    """A rehearsal mark that gives the number of its bar."""
    KEY = "key"
    METER = "meter"
    REPEAT = "repeat"
    DOUBLE_BAR = "double bar"
    TEMPO = "tempo"
    """Words of a new tempo."""
    REST = "rest"
    """The end of a long rest of the part."""


@dataclass(frozen=True, slots=True)
class Landmark:
    """A bar that a reader of a part finds at a glance, and where the part plays from there.

    Attributes:
        measure: The bar.
        kind: What shows it.
        name: A rehearsal mark, a heading or words of tempo as printed; else empty.
        enters: The bar in which the part comes in, the same one or a little later.
    """

    measure: int
    kind: LandmarkKind
    name: str
    enters: int


UNCOUNTED = -1
"""Notes of a part of which only the name is known: a part of a piece on paper."""


@dataclass(frozen=True, slots=True)
class PartProfile:
    """What one part asks of its players. Ranges are ``(lowest, highest)`` names, or None without pitches.

    ``notes`` is ``UNCOUNTED`` for a part on paper. ``sounds`` are the stretches of bars in each of which
    something of it sounds, a tied note too; empty where nobody knows.
    """

    name: str
    instrument: str
    transposition_semitones: int
    notes: int
    written_range: tuple[str, str] | None
    sounding_range: tuple[str, str] | None
    level: float | None
    contributions: tuple[Contribution, ...] = ()
    spots: tuple[Spot, ...] = ()
    accidentals: tuple[AccidentalUse, ...] = ()
    dynamics: tuple[DynamicUse, ...] = ()
    articulations: tuple[Articulation, ...] = ()
    keys: tuple[SignatureSpan, ...] = ()
    values: tuple[str, ...] = ()
    largest_leap_semitones: int = 0
    patterns: tuple[Pattern, ...] = ()
    level_error: float | None = None
    signatures: tuple[PrintedSignature, ...] = ()
    landmarks: tuple[Landmark, ...] = ()
    sounds: tuple[Place, ...] = ()

    def sounds_in(self, measure: int) -> bool:
        """Whether something of it sounds in a bar, as far as anybody knows."""
        return not self.sounds or any(first <= measure <= last for first, last in self.sounds)

    def is_over_by(self, measure: int) -> bool:
        """Whether its last sounding bar on the page comes before a bar."""
        return bool(self.sounds) and self.sounds[-1][1] < measure

    @property
    def plays(self) -> bool:
        """Whether it has notes, as far as anybody knows."""
        return self.notes != 0


UnnumberedKind = Literal["pickup", "upbeat", "rest", "extra"]


@dataclass(frozen=True, slots=True)
class UnnumberedBar:
    """A measure that has no number of its own on the page.

    ``kind`` is ``pickup`` for a short one at the beginning, ``upbeat`` for a short one that leads to the
    next numbered bar, ``rest`` for what is left of the bar before it, and ``extra`` for any other, such as
    a short one with a first ending or at a repeat sign.
    """

    measure: int
    kind: UnnumberedKind
    after_double_bar: bool = False


@dataclass(frozen=True, slots=True)
class PieceProfile:
    """Everything the study found in one piece. ``level`` is None when nothing can be said.

    ``version`` is that of this contract, ``study_version`` that of the study that filled it in;
    0 was given by programs that did not count theirs yet.
    ``composer``, ``arranger`` and ``rights`` are as printed on the score, empty when it is silent.
    ``uncounted`` are the measures that bar numbers pass over: a pickup, the second half of a split bar;
    ``unnumbered`` are all that have no number on the page, with what they are to the bars around them.
    ``sure_keys`` are the stretches in another key that nothing contradicts.
    ``fingerprint`` is by what the music is known again in another file (``core/fingerprint.py``).
    """

    title: str
    creators: tuple[str, ...]
    measures: int
    meters: tuple[MeterSpan, ...]
    roadmap: Roadmap
    home_key: str
    keys: tuple[KeySpan, ...]
    harmony: tuple[HarmonySpan, ...]
    tempo_bpm: Tempo
    playing_seconds: float
    level: float | None
    parts: tuple[PartProfile, ...]
    issues: tuple[Issue, ...] = ()
    measure_numbers: tuple[str, ...] = ()
    uncounted: tuple[int, ...] = ()
    contributions: tuple[Contribution, ...] = ()
    form: tuple[FormSection, ...] = ()
    phrases: tuple[Phrase, ...] = ()
    cadences: tuple[Cadence, ...] = ()
    expression: tuple[Expression, ...] = ()
    excerpts: tuple[Excerpt, ...] = ()
    tempo_turns: tuple[TempoTurn, ...] = ()
    tempos: tuple[TempoSpan, ...] = ()
    first_reading_seconds: float | None = None
    facts: tuple[Fact, ...] = ()
    composer: str = ""
    arranger: str = ""
    rights: str = ""
    format: str = PROFILE_FORMAT
    version: int = PROFILE_VERSION
    study_version: int = 0
    melody: tuple[MelodySpan, ...] = ()
    unnumbered: tuple[UnnumberedBar, ...] = ()
    fingerprint: str = ""
    sure_keys: tuple[SureKey, ...] = ()

    @property
    def is_on_paper(self) -> bool:
        """Whether it holds only what the director entered of a piece that has no score: no bar is known."""
        return self.measures == 0

    def part(self, name: str) -> PartProfile:
        """The part of that name.

        Raises:
            KeyError: If no part has it.
        """
        for part in self.parts:
            if part.name == name:
                return part
        raise KeyError(name)

    def facts_for(self, *parts: str) -> tuple[Fact, ...]:
        """The facts about those parts, in reading order; ``""`` stands for those about everyone."""
        found = (fact for fact in self.facts if fact.part in parts)
        return in_reading_order(found, [part.name for part in self.parts])


def profile_to_dict(profile: PieceProfile) -> dict[str, Any]:
    """The profile as plain JSON values, ``format`` and ``version`` first."""
    data = asdict(profile)
    head = {key: data.pop(key) for key in ("format", "version")}
    return head | data


def profile_to_json(profile: PieceProfile) -> str:
    """The profile as compact JSON: same profile, same text."""
    data = _by_field(profile)
    head = {key: data.pop(key) for key in ("format", "version")}
    return json.dumps(head | data, ensure_ascii=False, separators=(",", ":"), default=_by_field)


def _by_field(value: Any) -> dict[str, Any]:
    """The fields of a dataclass, as they are: what they hold is asked for as it is written."""
    kind: type = type(value)
    return {name: getattr(value, name) for name in _names(kind)}


@cache
def _names(kind: type) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))


def profile_from_json(text: str, *, is_old: bool = False) -> PieceProfile:
    """Read back what ``profile_to_json`` wrote.

    Args:
        text: The JSON.
        is_old: An older study wrote it: what this program cannot read of it is left out.

    Raises:
        ValueError: If it is not a profile of this version, or too little of an older study can be read.
    """
    data = json.loads(text)
    if data.get("format") != PROFILE_FORMAT or data.get("version") != PROFILE_VERSION:
        raise ValueError("not a piece-profile of this version")
    try:
        profile: PieceProfile = _dataclass_builder(PieceProfile, is_old)(data)
    except _UNREADABLE as error:
        if not is_old:
            raise
        raise ValueError("too little of this older study can be read") from error
    return profile


def from_plain(kind: Any, value: Any, *, is_old: bool = False) -> Any:
    """A value of a declared type from its JSON form, as ``dataclasses.asdict`` and ``json`` wrote it.

    With ``is_old`` an older program may have written it: what this one cannot read of it is left out.

    Example:
        >>> from_plain(tuple[KeySpan, ...], [{"measure": 3, "key": "F major"}])
        (KeySpan(measure=3, key='F major', relation=<KeyRelation.DISTANT: ''>, offset_quarters=0.0),)
    """
    build = _builder(kind, is_old)
    return value if build is None else build(value)


_Build = Callable[[Any], Any]
_UNREADABLE = (TypeError, ValueError, KeyError, AttributeError)
"""What reading a value of another shape comes to."""


@cache
def _builder(kind: Any, is_old: bool = False) -> _Build | None:
    """How a value of a declared type is made from its JSON form; None when it is the same."""
    if is_dataclass(kind) and isinstance(kind, type):
        return _dataclass_builder(kind, is_old)
    if isinstance(kind, type) and issubclass(kind, Enum):
        return kind
    if kind is date:
        return date.fromisoformat
    origin, args = get_origin(kind), get_args(kind)
    if origin is tuple:
        return _tuple_builder(args, is_old)
    if origin in (Union, types.UnionType):
        inner = _builder(next(arg for arg in args if arg is not type(None)), is_old)
        return None if inner is None else lambda value: None if value is None else inner(value)
    return None


@cache
def _dataclass_builder(kind: type, is_old: bool) -> _Build:
    hints = get_type_hints(kind)
    builders = {field.name: _builder(hints[field.name], is_old) for field in fields(kind)}

    def build(value: dict[str, Any]) -> Any:
        known = ((name, item) for name, item in value.items() if name in builders)
        return kind(**{name: b(item) if (b := builders[name]) else item for name, item in known})

    def build_what_can_be(value: dict[str, Any]) -> Any:
        made: dict[str, Any] = {}
        for name, item in value.items():
            build_one = builders.get(name) or (lambda same: same)
            for readable in _readable(build_one, (item,)) if name in builders else ():
                made[name] = readable
        return kind(**made)

    return build_what_can_be if is_old else build


def _readable(build: _Build, values: Iterable[Any]) -> Iterator[Any]:
    """Those of some values that can be made."""
    for value in values:
        try:
            yield build(value)
        except _UNREADABLE:
            continue


def _tuple_builder(args: tuple[Any, ...], is_old: bool) -> _Build:
    if len(args) == 2 and args[1] is Ellipsis:
        each = _builder(args[0], is_old)
        if each is None:
            return tuple
        if is_old:
            return lambda value: tuple(_readable(each, value))
        return lambda value: tuple(map(each, value))
    builders = [_builder(arg, is_old) for arg in args]
    return lambda value: tuple(
        item if build is None else build(item) for build, item in zip(builders, value, strict=True)
    )
