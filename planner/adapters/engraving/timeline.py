"""When the notes and directions of some bars stand: a file writes them voice by voice."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from lxml import etree


@dataclass(frozen=True, slots=True)
class Event:
    """A note or a direction.

    Attributes:
        element: It.
        bar: Which of the bars, from 0.
        at: Quarters from the start of its bar.
        since: Quarters from the start of the first bar.
        length: Quarters it lasts; 0 for a direction and a grace note.
    """

    element: etree._Element
    bar: int
    at: Fraction
    since: Fraction
    length: Fraction = Fraction(0)

    @property
    def place(self) -> tuple[int, Fraction]:
        """What events are ordered by."""
        return self.bar, self.at


def events(measures: Iterable[etree._Element]) -> Iterator[Event]:
    """Notes and directions in the order of the file."""
    divisions, start = 1, Fraction(0)
    for bar, measure in enumerate(measures):
        at = struck = reached = Fraction(0)
        for element in measure:
            length = Fraction(int(float(element.findtext("duration") or 0)), divisions)
            if element.tag == "attributes":
                divisions = int(float(element.findtext("divisions") or divisions)) or 1
            elif element.tag == "direction" or (element.tag == "note" and element.find("grace") is not None):
                yield Event(element, bar, at, start + at)
            elif element.tag == "note":
                if element.find("chord") is None:
                    struck, at = at, at + length
                yield Event(element, bar, struck, start + struck, length)
            elif element.tag in ("backup", "forward"):
                at += -length if element.tag == "backup" else length
            reached = max(reached, at)
        start += reached


def attributes_of(element: etree._Element) -> dict[str, str]:
    """The attributes of an element, for another one."""
    return {str(name): str(value) for name, value in element.items()}
