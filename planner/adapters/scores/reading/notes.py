"""What a ``note`` element says: pitch, length, place, and every sign on its head.

Read straight from the file and not through music21's stream, which drops cue
notes' nature, display places of unpitched heads, bracketed accidentals and
printed values that differ from the sounding length.
"""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from lxml import etree

from planner.adapters.scores.reading.draft import Clock, decimal, fold, whole
from planner.adapters.scores.reading.printed_text import printed
from planner.adapters.scores.reading.printed_words import is_comparing
from planner.core.pitch import Pitch, Transposition
from planner.core.score import Note

_UNPITCHED_DEFAULT = Pitch("B", 4)
_SKIPPED_TECHNICAL = frozenset({"fingering", "fret", "string", "pluck", "hammer-on", "pull-off", "bend"})
_EXTRA_ORNAMENTS = frozenset({"arpeggiate", "glissando", "slide"})
_NO_SIGNS: tuple[str, ...] = ()
MAX_STAVES = 20
"""No part has more staves than this. Source: house choice."""


@dataclass
class Head:
    """One ``note`` element, taken apart. Durations in the file's own divisions until ``ticks`` is set."""

    pitch: Pitch | None = None
    unpitched: Pitch | None = None
    duration: Fraction | None = None
    voice: str = "1"
    staff: int = 1
    value: str = ""
    dots: int = 0
    tuplet: tuple[int, int] | None = None
    tie_stop: bool = False
    tie_start: bool = False
    has_tie: bool = False
    in_chord: bool = False
    is_rest: bool = False
    is_grace: bool = False
    is_cue: bool = False
    instrument: str = ""
    beams: tuple[str, ...] = _NO_SIGNS
    accidental: str = ""
    is_courtesy: bool = False
    articulations: tuple[str, ...] = _NO_SIGNS
    ornaments: tuple[str, ...] = _NO_SIGNS
    technical: tuple[str, ...] = _NO_SIGNS
    dynamics: tuple[str, ...] = _NO_SIGNS
    slurs_started: int = 0
    slurs_stopped: int = 0
    has_fermata: bool = False
    notehead: str = "normal"
    hidden: bool = False
    lyric: str = ""


class HeadReader:
    """Reads ``note`` elements of one part; remembers pitches already seen."""

    def __init__(self) -> None:
        self._pitches: dict[tuple[str | None, str | None, str | None], Pitch | None] = {}

    def read(self, element: etree._Element) -> Head:
        """One ``note`` element as a ``Head``."""
        head = Head(hidden=element.get("print-object") == "no")
        for child in element:
            reader = _READERS.get(child.tag)
            if reader is not None:
                reader(head, child)
            elif child.tag == "pitch":
                head.pitch = self._pitch(child)
        return head

    def _pitch(self, element: etree._Element) -> Pitch | None:
        parts = {child.tag: child.text for child in element}
        key = (parts.get("step"), parts.get("alter"), parts.get("octave"))
        if key not in self._pitches:
            self._pitches[key] = _pitch_of(*key)
        return self._pitches[key]


def _pitch_of(step: str | None, alter: str | None, octave: str | None) -> Pitch | None:
    letter, height = (step or "").strip().upper(), whole(octave)
    shift = decimal(alter) if alter and alter.strip() else Fraction(0)
    if letter not in set("ABCDEFG") or height is None or not -1 <= height <= 10:
        return None
    if shift is None or abs(shift) > 4:
        return None
    return Pitch(letter, height, shift)


def _read_unpitched(head: Head, element: etree._Element) -> None:
    found = _pitch_of(element.findtext("display-step"), None, element.findtext("display-octave"))
    head.unpitched = found or _UNPITCHED_DEFAULT


def _read_rest(head: Head, element: etree._Element) -> None:
    head.is_rest = True
    if element.get("measure") == "yes":
        head.value = "measure"


def _read_type(head: Head, element: etree._Element) -> None:
    if head.value != "measure":
        head.value = fold(element.text)


def _read_tie(head: Head, element: etree._Element) -> None:
    head.has_tie = True
    _set_tie(head, element)


def _set_tie(head: Head, element: etree._Element) -> None:
    kind = element.get("type")
    if kind == "start":
        head.tie_start = True
    elif kind == "stop":
        head.tie_stop = True
    elif kind == "continue":
        head.tie_start = head.tie_stop = True


def _read_accidental(head: Head, element: etree._Element) -> None:
    head.accidental = fold(element.text)
    head.is_courtesy = "yes" in (
        element.get("cautionary"),
        element.get("parentheses"),
        element.get("bracket"),
    )


def _read_ratio(head: Head, element: etree._Element) -> None:
    actual, normal = whole(element.findtext("actual-notes")), whole(element.findtext("normal-notes"))
    if actual and normal and 0 < actual <= 1000 and 0 < normal <= 1000 and actual != normal:
        head.tuplet = (actual, normal)


def _read_beam(head: Head, element: etree._Element) -> None:
    state = fold(element.text)
    head.beams = (*head.beams, "hook" if state.endswith("hook") else state)


def _read_notations(head: Head, element: etree._Element) -> None:
    for child in element:
        tag = child.tag
        if tag == "articulations":
            head.articulations += tuple(sign.tag for sign in child)
        elif tag == "slur":
            kind = child.get("type")
            head.slurs_started += kind == "start"
            head.slurs_stopped += kind == "stop"
        elif tag == "tied":
            if not head.has_tie:
                _set_tie(head, child)
        elif tag == "ornaments":
            head.ornaments += _ornaments(child)
        elif tag == "technical":
            head.technical += tuple(sign.tag for sign in child if sign.tag not in _SKIPPED_TECHNICAL)
        elif tag == "fermata":
            head.has_fermata = True
        elif tag == "dynamics":
            head.dynamics += dynamics_in(child)
        elif tag in _EXTRA_ORNAMENTS and child.get("type", "start") == "start":
            head.ornaments += (tag,)


def _ornaments(element: etree._Element) -> tuple[str, ...]:
    found = []
    for sign in element:
        if sign.tag == "tremolo":
            strokes = whole(sign.text)
            found.append(f"tremolo-{strokes if strokes is not None else 3}")
        elif sign.tag == "wavy-line":
            if sign.get("type", "start") == "start":
                found.append("wavy-line")
        elif sign.tag != "accidental-mark":
            found.append(sign.tag)
    return tuple(found)


_LESS_THAN_ALONE = frozenset({"poco", "un poco", "quasi", "un peu", "etwas"})
"""Words inside a dynamic that make it less than its sign. Source: common practice."""


def dynamics_in(element: etree._Element) -> tuple[str, ...]:
    """Marks inside a ``dynamics`` element, ``other-dynamics`` by its text: "più" with its sign."""
    marks = (printed(sign.text) if sign.tag == "other-dynamics" else sign.tag for sign in element)
    found: list[str] = []
    for mark in filter(None, marks):
        if found and (is_comparing(found[-1]) or found[-1].casefold() in _LESS_THAN_ALONE):
            mark = f"{found.pop()} {mark}"
        found.append(mark)
    return tuple(found)


def _set(name: str, value: object) -> Callable[[Head, etree._Element], None]:
    def read(head: Head, _element: etree._Element) -> None:
        setattr(head, name, value)

    return read


def _read_staff(head: Head, element: etree._Element) -> None:
    staff = whole(element.text) or 1
    head.staff = staff if 1 <= staff <= MAX_STAVES else 1


def _read_duration(head: Head, element: etree._Element) -> None:
    head.duration = decimal(element.text)


def _read_voice(head: Head, element: etree._Element) -> None:
    head.voice = fold(element.text) or "1"


def _read_dot(head: Head, _element: etree._Element) -> None:
    head.dots += 1


def _read_notehead(head: Head, element: etree._Element) -> None:
    head.notehead = fold(element.text) or "normal"


def _read_lyric(head: Head, element: etree._Element) -> None:
    """The syllable of the verse that stands first under the note; several words under one note as one."""
    if head.lyric:
        return
    text = fold(" ".join(child.text or "" for child in element if child.tag == "text"))
    syllabic = [fold(child.text) for child in element if child.tag == "syllabic"]
    goes_on = bool(syllabic) and syllabic[-1] in ("begin", "middle")
    head.lyric = f"{text}-" if text and goes_on and not text.endswith("-") else text


def _read_instrument(head: Head, element: etree._Element) -> None:
    head.instrument = element.get("id", "")


_READERS: dict[str, Callable[[Head, etree._Element], None]] = {
    "unpitched": _read_unpitched,
    "rest": _read_rest,
    "duration": _read_duration,
    "voice": _read_voice,
    "staff": _read_staff,
    "type": _read_type,
    "dot": _read_dot,
    "tie": _read_tie,
    "chord": _set("in_chord", True),
    "grace": _set("is_grace", True),
    "cue": _set("is_cue", True),
    "instrument": _read_instrument,
    "accidental": _read_accidental,
    "time-modification": _read_ratio,
    "beam": _read_beam,
    "notehead": _read_notehead,
    "notations": _read_notations,
    "lyric": _read_lyric,
}


@dataclass(frozen=True, slots=True)
class Placed:
    """A head with its place: ``order`` is the document position of the stem it belongs to."""

    head: Head
    onset: int
    ticks: int
    order: int


def notes_of_measure(
    placed: list[Placed],
    measure: int,
    clock: Clock,
    instruments: dict[str, str],
    concert: Transposition | None,
) -> list[Note]:
    """The ``Note`` values of one measure, in the order the core prescribes.

    Args:
        placed: Heads in document order.
        measure: 0-based position.
        clock: The score's clock.
        instruments: Names of the part's percussion instruments by their id in the file.
        concert: In a concert-pitch score, the player's transposition by which to write pitches.
    """
    placed.sort(key=_place_key)
    beams = {p.order: p.head.beams for p in placed if not p.head.in_chord}
    notes: list[Note] = []
    last_stem = -1
    for item in placed:
        head = item.head
        pitch = head.pitch
        if concert is not None and pitch is not None:
            pitch = concert.to_written(pitch)
        notes.append(
            Note(
                measure, clock.quarters(item.onset), clock.quarters(item.ticks), pitch, head.voice,
                head.staff,
                "" if head.value == "measure" else head.value, head.dots, head.tuplet, head.tie_stop,
                head.tie_start, item.order == last_stem, head.is_rest, head.is_grace, head.is_cue,
                head.unpitched,
                instruments.get(head.instrument, "") if head.unpitched is not None else "",
                beams.get(item.order, head.beams), head.accidental, head.is_courtesy, head.articulations,
                head.ornaments, head.technical, head.slurs_started, head.slurs_stopped, head.has_fermata,
                head.notehead, head.lyric,
            )
        )  # fmt: skip
        last_stem = item.order
    return notes


def _place_key(item: Placed) -> tuple[int, int, int, str, bool, int, int]:
    head = item.head
    height = head.pitch or head.unpitched
    return (
        item.onset, head.staff, len(head.voice), head.voice, not head.is_grace, item.order,
        height.diatonic if height else 0,
    )  # fmt: skip
