"""One part's walk through its measures: where each thing stands in exact score time."""

from fractions import Fraction

from lxml import etree

from planner.adapters.scores.reading.attributes import (
    keys_by_staff,
    read_attributes,
    set_transposition,
    transposition_of,
)
from planner.adapters.scores.reading.directions import DirectionReader, Place
from planner.adapters.scores.reading.draft import Clock, PartDraft, decimal, whole
from planner.adapters.scores.reading.marks import read_barline
from planner.adapters.scores.reading.notes import HeadReader, Placed, notes_of_measure
from planner.core.pitch import CONCERT, Transposition
from planner.core.score import Dynamic

_MAX_QUARTERS = 1024
"""No bar is longer than this. Source: house choice; the longest cadenza bars in print hold a few hundred."""


class PartWalk:
    """Walks one ``part`` element and fills a ``PartDraft``.

    Args:
        draft: Filled as the walk goes on.
        clock: The score's clock.
        instruments: The part's percussion instruments, id to name.
        concert_score: The file declares itself a concert-pitch score.
    """

    def __init__(
        self, draft: PartDraft, clock: Clock, instruments: dict[str, str], *, concert_score: bool
    ) -> None:
        self._draft = draft
        self._clock = clock
        self._instruments = instruments
        self._concert_score = concert_score
        self._player: Transposition | None = None
        self._octave = CONCERT
        self._per_division = Fraction(clock.per_quarter)
        self._whole_ticks: int | None = clock.per_quarter
        self._heads = HeadReader()
        self._directions = DirectionReader(draft)
        self._bar = ""
        self._measure = 0
        self._now = 0
        self._reached = 0
        self._stem = 0
        self._placed: list[Placed] = []

    def walk(self, element: etree._Element) -> PartDraft:
        """Read every measure of the part."""
        for index, measure in enumerate(element.iterchildren("measure")):
            self._walk_measure(index, measure)
        self._directions.close()
        draft = self._draft
        draft.staves = max([draft.staves, *(note.staff for note in draft.notes)])
        draft.keys = keys_by_staff(draft.keys, draft.staves)
        return draft

    def _walk_measure(self, index: int, measure: etree._Element) -> None:
        self._measure, self._bar = index, measure.get("number", "?")
        self._now = self._reached = 0
        self._stem = 0
        self._placed = []
        for child in measure:
            tag = child.tag
            if tag == "note":
                self._note(child)
            elif tag == "backup":
                self._back(child)
            elif tag == "forward":
                self._move(self._ticks(decimal(child.findtext("duration")), child))
            elif tag == "direction":
                self._directions.read(child, self._place(child))
            elif tag == "attributes":
                self._attributes(child)
            elif tag == "barline":
                read_barline(child, self._draft, index)
            elif tag == "sound":
                self._directions.read_sound(child, self._place(child))
        concert = self._player if self._concert_score else None
        self._draft.notes += notes_of_measure(self._placed, index, self._clock, self._instruments, concert)
        self._draft.lengths.append(self._reached)

    def _note(self, element: etree._Element) -> None:
        head = self._heads.read(element)
        draft = self._draft
        if head.pitch is None and head.unpitched is None and not head.is_rest:
            draft.add_issue("note-unreadable", self._measure, warning=True, bar=self._bar)
            draft.mends.append((element, None))
        ticks = 0 if head.is_grace else self._ticks(head.duration, element)
        if head.in_chord and self._placed:
            onset = self._placed[-1].onset
        else:
            head.in_chord = False
            onset = self._now
            self._stem += 1
            self._move(ticks)
        is_sounding = head.pitch is not None or head.unpitched is not None
        if head.hidden and (head.is_rest or is_sounding):
            if is_sounding:
                draft.add_issue("hidden-notes", self._measure, bar=self._bar)
            return
        if is_sounding or head.is_rest:
            self._placed.append(Placed(head, onset, ticks, self._stem))
        for mark in head.dynamics:
            draft.dynamics.append(Dynamic(self._measure, self._clock.quarters(onset), mark, head.staff))

    def _ticks(self, duration: Fraction | None, element: etree._Element) -> int:
        """The duration of an element in ticks; 0 for none, a negative or an absurd one."""
        if duration is None or duration < 0:
            self._no_duration(element)
            return 0
        if self._whole_ticks is not None and duration.denominator == 1:
            ticks = duration.numerator * self._whole_ticks
        else:
            ticks = round(duration * self._per_division)
        if ticks > _MAX_QUARTERS * self._clock.per_quarter:
            self._draft.add_issue("length-absurd", self._measure, warning=True, bar=self._bar)
            self._no_duration(element)
            return 0
        return ticks

    def _no_duration(self, element: etree._Element) -> None:
        self._draft.mends += [(stated, None) for stated in element.findall("duration")]

    def _back(self, element: etree._Element) -> None:
        """A step back, never beyond the beginning of the bar; the clean file steps back as far."""
        ticks = self._ticks(decimal(element.findtext("duration")), element)
        if ticks > self._now:
            reached = Fraction(self._now) / self._per_division
            self._draft.mends += [(stated, str(int(reached))) for stated in element.findall("duration")]
        self._move(-ticks)

    def _move(self, ticks: int) -> None:
        self._now += ticks
        if self._now < 0:
            self._draft.add_issue("place-before-bar", self._measure, bar=self._bar)
            self._now = 0
        self._reached = max(self._reached, self._now)

    def _place(self, element: etree._Element) -> Place:
        at = self._now
        offset = decimal(element.findtext("offset"))
        if offset:
            shift = round(offset * self._per_division)
            if abs(shift) <= _MAX_QUARTERS * self._clock.per_quarter:
                at = max(0, at + shift)
        return Place(self._measure, self._clock.quarters(at), max(1, whole(element.findtext("staff")) or 1))

    def _attributes(self, element: etree._Element) -> None:
        divisions = whole(element.findtext("divisions"))
        if divisions is not None and divisions > 0:
            self._per_division = Fraction(self._clock.per_quarter, divisions)
            exact = self._per_division.denominator == 1
            self._whole_ticks = self._per_division.numerator if exact else None
        elif (unreadable := element.find("divisions")) is not None:
            self._draft.mends.append((unreadable, None))
            self._draft.add_issue("divisions-unreadable", self._measure, warning=True, bar=self._bar)
        shift = self._concert_pitch(element) if self._concert_score else 0
        onset = self._clock.quarters(self._now)
        read_attributes(element, self._draft, self._measure, onset, shift)
        transpose = element.find("transpose")
        if transpose is not None and not self._concert_score:
            set_transposition(self._draft, self._measure, transposition_of(transpose))

    def _concert_pitch(self, element: etree._Element) -> int:
        """Take in ``for-part`` of a concert-pitch score; the fifths to add to keys as the player reads them.

        Source: MusicXML 4.0, ``concert-score`` and ``part-transpose``: the file's pitches are
        in concert pitch (octave changes apart) and ``part-transpose`` is the player's transposition.
        """
        part_transpose = element.find("for-part/part-transpose")
        octave = element.find("transpose")
        if octave is not None:
            self._octave = transposition_of(octave)
        if part_transpose is not None:
            total = transposition_of(part_transpose)
            # Pitches of the file sound after its own octave change; the player's page undoes the rest.
            self._player = Transposition(
                total.diatonic - self._octave.diatonic, total.chromatic - self._octave.chromatic,
                total.octave_change - self._octave.octave_change,
            )  # fmt: skip
            set_transposition(self._draft, self._measure, total)
        elif octave is not None:
            set_transposition(self._draft, self._measure, self._octave)
        if self._player is None:
            return 0
        return -(7 * self._player.chromatic - 12 * self._player.diatonic)
