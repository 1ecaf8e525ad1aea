"""The notes with which a part begins in a bar."""

from collections.abc import Iterator

from lxml import etree

_SIGNS = {"-2": "bb", "-1": "b", "0": "", "1": "#", "2": "##"}


def opening_notes(measure: etree._Element) -> tuple[str, ...]:
    """The written pitches that sound first in a bar, in all voices, the highest first; none in a silent bar.

    Grace notes, cues and notes tied from the bar before are passed over.
    """
    found = [(onset, note) for onset, note in _notes(measure) if _begins(note)]
    first = min((onset for onset, _ in found), default=0)
    pitches = {_spelled(note): _height(note) for onset, note in found if onset == first}
    return tuple(sorted(pitches, key=lambda name: -pitches[name]))


def is_played(note: etree._Element) -> bool:
    """Whether a note is no rest, no cue and not hidden."""
    return note.find("rest") is None and note.find("cue") is None and note.get("print-object") != "no"


def _notes(measure: etree._Element) -> Iterator[tuple[int, etree._Element]]:
    """The notes of a bar, each with its onset in divisions."""
    at = struck = 0
    for element in measure:
        length = int(float(element.findtext("duration") or 0))
        if element.tag == "backup":
            at -= length
        elif element.tag == "forward":
            at += length
        elif element.tag == "note":
            if element.find("chord") is None:
                struck, at = at, at + length
            yield struck, element


def _begins(note: etree._Element) -> bool:
    is_tied = any(tie.get("type") == "stop" for tie in note.iterfind("tie"))
    return is_played(note) and note.find("pitch") is not None and note.find("grace") is None and not is_tied


def _spelled(note: etree._Element) -> str:
    alter = _SIGNS.get(note.findtext("pitch/alter") or "0", "")
    return f"{note.findtext('pitch/step')}{alter}{note.findtext('pitch/octave')}"


def _height(note: etree._Element) -> int:
    """Its place on the staff, and above it what a sign adds."""
    step = "CDEFGAB".index(note.findtext("pitch/step") or "C")
    return 7 * int(note.findtext("pitch/octave") or 0) + step
