"""What stands over and under the staff: dynamics, hairpins, words, tempos, octave lines, rehearsal marks.

The roadmap part of a direction (signs, words, ``sound`` attributes) is read by
``marks``; both see the same element.
"""

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal, cast

from lxml import etree

from planner.adapters.scores.reading.draft import Landmark, PartDraft, decimal, whole
from planner.adapters.scores.reading.marks import direction_marks
from planner.adapters.scores.reading.metronome import (
    MAX_BPM,
    MetronomeMark,
    metronome_mark,
    number_in_words,
)
from planner.adapters.scores.reading.notes import dynamics_in
from planner.adapters.scores.reading.printed_text import printed
from planner.adapters.scores.reading.printed_words import (
    is_comparing,
    is_for_its_staff,
    is_tempo,
    swell_kind,
)
from planner.core.score import Dynamic, Hairpin, OctaveLine, TempoMark, Words

_LINE_OCTAVES = {8: 1, 15: 2, 22: 3}


@dataclass(frozen=True, slots=True)
class Place:
    """Where a direction stands."""

    measure: int
    onset: Fraction
    staff: int = 1


class DirectionReader:
    """Reads the directions of one part into its draft; remembers what is still open (hairpins, lines)."""

    def __init__(self, draft: PartDraft) -> None:
        self._draft = draft
        self._wedges: dict[str, tuple[Place, Literal["crescendo", "diminuendo"]]] = {}
        self._lines: dict[str, tuple[Place, int]] = {}
        self._dashes: dict[str, int] = {}
        self._quarter_bpm: float | None = None

    def read(self, element: etree._Element, place: Place) -> None:
        """One ``direction`` element."""
        texts: list[str] = []
        metronome = None
        for kind in element.findall("direction-type"):
            for child in kind:
                if child.tag == "words":
                    texts.append(child.text or "")
                elif child.tag == "metronome":
                    metronome = child if metronome is None else metronome
                else:
                    self._sign(child, place)
        text = printed(" ".join(texts))
        sound = element.find("sound")
        marks = direction_marks(element, sound, text, place.measure)
        self._draft.marks.extend(marks)
        tempo = _sound_tempo(sound)
        before = len(self._draft.tempos)
        number = metronome_mark(metronome) if metronome is not None else None
        if metronome is not None or not marks:
            is_empty = number is not None and number.bpm is None and number.equal is None
            text, in_words = number_in_words(text, number.unit if number and is_empty else None)
            number = in_words if in_words is not None and is_empty else number or in_words
        if number is not None and _is_hidden(element, metronome):
            tempo = tempo or (float(number.unit) * number.bpm if number.bpm else None)
            number = metronome = None
        if number is not None or tempo is not None or text:
            self._text(text, number, tempo, place, is_roadmap=bool(marks))
        kinds = {
            mark.kind if mark.kind in ("segno", "coda") else "jump" for mark in marks if not mark.implied
        }
        if element.find("direction-type/rehearsal") is not None:
            kinds.add("rehearsal")
        if number is not None or (text and not marks and len(self._draft.tempos) > before):
            kinds.add("tempo")
        if kinds:
            self._draft.landmarks.append(Landmark(place.measure, place.onset, frozenset(kinds), element))
        self._open_dashes(element, place)

    def read_sound(self, element: etree._Element, place: Place) -> None:
        """A ``sound`` element standing alone in a measure."""
        self._draft.marks.extend(direction_marks(None, element, "", place.measure))
        tempo = _sound_tempo(element)
        if tempo is not None:
            self._tempo("", None, tempo, place)

    def close(self) -> None:
        """End of the part: hairpins without an end stay open, octave lines end with the part.

        A dynamic with "più" or the like before it becomes one mark with it.
        """
        draft = self._draft
        comparing = [words for words in draft.words if is_comparing(words.text)]
        for words in comparing:
            _join(words, draft)
        for place, kind in self._wedges.values():
            draft.hairpins.append(Hairpin(place.measure, place.onset, kind, staff=place.staff))
        for place, octaves in self._lines.values():
            draft.add_issue("octave-line-open", place.measure)
            last = max(place.measure, len(draft.lengths) - 1)
            draft.octave_lines.append(
                OctaveLine(place.measure, place.onset, octaves, last, Fraction(0), place.staff)
            )
        draft.hairpins.sort(key=lambda h: (h.measure, h.onset_quarters, h.staff))
        draft.octave_lines.sort(key=lambda line: (line.measure, line.onset_quarters, line.staff))

    def _sign(self, child: etree._Element, place: Place) -> None:
        if child.tag == "dynamics":
            for mark in dynamics_in(child):
                self._draft.dynamics.append(Dynamic(place.measure, place.onset, mark, place.staff))
        elif child.tag == "wedge":
            self._wedge(child, place)
        elif child.tag == "octave-shift":
            self._octave_shift(child, place)
        elif child.tag == "rehearsal":
            self._draft.rehearsals.setdefault(place.measure, printed(child.text))
        elif child.tag == "dashes" and child.get("type") == "stop":
            self._close_dashes(child.get("number", "1"), place)

    def _wedge(self, child: etree._Element, place: Place) -> None:
        number, kind = child.get("number", "1"), child.get("type")
        if kind in ("crescendo", "diminuendo"):
            if number in self._wedges:
                start, open_kind = self._wedges.pop(number)
                self._draft.hairpins.append(Hairpin(start.measure, start.onset, open_kind, staff=start.staff))
            self._wedges[number] = (place, cast(Literal["crescendo", "diminuendo"], kind))
        elif kind == "stop" and number in self._wedges:
            start, open_kind = self._wedges.pop(number)
            self._draft.hairpins.append(
                Hairpin(start.measure, start.onset, open_kind, place.measure, place.onset, staff=start.staff)
            )

    def _octave_shift(self, child: etree._Element, place: Place) -> None:
        number, kind = child.get("number", "1"), child.get("type")
        octaves = _LINE_OCTAVES.get(whole(child.get("size")) or 8, 1)
        if kind in ("up", "down"):
            # The type names how the printed notes move, so "down" is the line that sounds higher (8va).
            self._lines[number] = (place, octaves if kind == "down" else -octaves)
        elif kind == "stop" and number in self._lines:
            start, shift = self._lines.pop(number)
            self._draft.octave_lines.append(
                OctaveLine(start.measure, start.onset, shift, place.measure, place.onset, start.staff)
            )

    def _text(
        self, text: str, number: MetronomeMark | None, tempo: float | None, place: Place, *, is_roadmap: bool
    ) -> None:
        swell = swell_kind(text) if not is_roadmap else None
        if number is not None or tempo is not None or (is_tempo(text) and not is_roadmap and swell is None):
            self._tempo("" if is_roadmap else text, number, tempo, place)
            if text and not is_roadmap and number is None and swell is None and is_for_its_staff(text):
                self._draft.words.append(Words(place.measure, place.onset, text, place.staff))
        elif swell is not None:
            self._draft.hairpins.append(
                Hairpin(place.measure, place.onset, swell, in_words=True, staff=place.staff)
            )
            self._draft.words.append(Words(place.measure, place.onset, text, place.staff))
        elif text and not is_roadmap:
            self._draft.words.append(Words(place.measure, place.onset, text, place.staff))

    def _tempo(self, text: str, number: MetronomeMark | None, tempo: float | None, place: Place) -> None:
        if tempo is None and number is not None and number.bpm is not None:
            tempo = float(number.unit) * number.bpm
        if not text and number is None and tempo == self._quarter_bpm:
            return
        self._quarter_bpm = tempo if tempo is not None else self._quarter_bpm
        mark = TempoMark(place.measure, place.onset, text, quarter_bpm=tempo)
        if number is not None:
            mark = replace(
                mark, beat_unit_quarters=number.unit, bpm=number.bpm, bpm_high=number.bpm_high,
                equal_quarters=number.equal,
            )  # fmt: skip
        self._draft.tempos.append(mark)

    def _open_dashes(self, element: etree._Element, place: Place) -> None:
        for child in element.iterfind("direction-type/dashes"):
            if child.get("type") == "start":
                for at in range(len(self._draft.hairpins) - 1, -1, -1):
                    hairpin = self._draft.hairpins[at]
                    if hairpin.in_words and hairpin.measure == place.measure and hairpin.end_measure is None:
                        self._dashes[child.get("number", "1")] = at
                        break

    def _close_dashes(self, number: str, place: Place) -> None:
        at = self._dashes.pop(number, None)
        if at is not None:
            h = self._draft.hairpins[at]
            self._draft.hairpins[at] = Hairpin(
                h.measure, h.onset_quarters, h.kind, place.measure, place.onset, in_words=True, staff=h.staff
            )


_JUST_BEFORE = Fraction(1)
"""Most quarters from words to the dynamic that they belong to. House choice: the room that words take."""


def _join(words: Words, draft: PartDraft) -> None:
    """Put words with the dynamic that stands with them or just after them, if there is one."""
    near = [
        (each.onset_quarters, at)
        for at, each in enumerate(draft.dynamics)
        if (each.measure, each.staff) == (words.measure, words.staff)
        and 0 <= each.onset_quarters - words.onset_quarters <= _JUST_BEFORE
    ]
    if near:
        at = min(near)[1]
        draft.dynamics[at] = replace(draft.dynamics[at], mark=f"{words.text} {draft.dynamics[at].mark}")
        draft.words.remove(words)


def _sound_tempo(sound: etree._Element | None) -> float | None:
    """Quarters a minute of a ``sound`` element, when it gives a usable number."""
    found = decimal(sound.get("tempo")) if sound is not None else None
    return float(found) if found is not None and 0 < found <= MAX_BPM else None


def _is_hidden(element: etree._Element, metronome: etree._Element | None) -> bool:
    """Whether a metronome mark is in the file for playback alone."""
    return "no" in (
        element.get("print-object"),
        metronome.get("print-object") if metronome is not None else None,
    )
