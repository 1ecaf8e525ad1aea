"""Issues in words: what is odd in a score, where, and what to do."""

# ruff: noqa: ARG001 - every function is called alike

from collections.abc import Callable, Mapping, Sequence

from planner.core.instruments import get_instrument
from planner.core.issue import Issue
from planner.wording.words import bar_list, bars, capital, count_of, pitch

Numbers = Sequence[str]
"""Printed bar numbers by written measure."""
Words = str | Callable[[Issue, Numbers], str]
"""A sentence with values, ``part``, ``place`` (``"bar 5"``) and ``where`` (``" in bar 5"``) of the issue in
braces, or a function."""

_MARKS = {
    "repeat-start": "opening repeat bar",
    "repeat-end": "closing repeat bar",
    "ending-start": "ending",
    "ending-stop": "end of an ending",
    "segno": "sign",
    "coda": "coda sign",
    "to-coda": "To Coda",
    "fine": "Fine",
    "da-capo": "D.C.",
    "dal-segno": "D.S.",
}
"""What a mark is called in a sentence."""


_LOOSE_ENDS = {
    "never-closes": "a repeat opens here and never closes",
    "absurd-times": "the repeat says {times} times, which is taken as 2",
    "no-fine": "{text} is printed, but there is no Fine, so it is played to the end",
    "no-to-coda": "{text} is printed, but nothing says where to leave for the coda",
}


def _instrument(issue: Issue) -> str:
    return get_instrument(str(issue.value("instrument"))).name


def _out_of_range(side: str) -> Callable[[Issue, Numbers], str]:
    def words(issue: Issue, numbers: Numbers) -> str:
        count = int(issue.value("notes"))
        notes = f"{count} notes" if count > 1 else "a note"
        border = pitch(str(issue.value("border")))
        return (
            f"{issue.part} has {notes} {side} {border}, the end of the {_instrument(issue)}, "
            f"first in {bars(numbers, issue.measure or 0)}; move the passage by an octave or give "
            "it to another section."
        )

    return words


def _transposition(issue: Issue, numbers: Numbers) -> str:
    written, usual = int(issue.value("semitones")), int(issue.value("usual_semitones"))
    return (
        f"The part “{issue.part}” is written for another transposition ({written:+d} semitones) than the "
        f"{_instrument(issue)} ({usual:+d}): check that players get the right part."
    )


def _drum(issue: Issue, numbers: Numbers) -> str:
    return (
        f"The part “{issue.part}” is for {_instrument(issue)} but has pitches: they are taken for places on "
        "the staff."
    )


def _question(issue: Issue, numbers: Numbers) -> str:
    names = [get_instrument(str(each)).name for each in issue.all("instrument")]
    part = f"Is the part “{' '.join(issue.part.split())}”"
    if len(names) == 1:
        return f"{part} really for {names[0]}? Its page leaves that open."
    return f"{part} for {' or '.join(names)}?"


def _differs(issue: Issue, numbers: Numbers) -> str:
    where = capital(bar_list(numbers, [int(each) for each in issue.all("measure")]))
    name, have = _MARKS[str(issue.value("mark"))], [str(each) for each in issue.all("part")]
    what = "does not say the same in all parts (the longer way is counted)"
    if have:
        few = ", ".join(have) if len(have) <= 3 else f"{len(have)} of {issue.value('parts')} parts"
        what = f"stands only in {few}, and is taken to hold for everyone"
    return f"{where}: the {name} {what}; compare the parts and mark them alike."


def _loose_end(issue: Issue, numbers: Numbers) -> str:
    what = _LOOSE_ENDS[str(issue.value("fault"))].format(**dict(issue.values))
    return _in_the_score(issue, numbers, what)


def _fine(issue: Issue, numbers: Numbers) -> str:
    text, end = issue.value("text") or "D.C.", bars(numbers, int(issue.value("end_measure")))
    return _in_the_score(
        issue, numbers, f"{text} is printed without a Fine, and is taken to end in {end}, before the trio"
    )


def _repeat_missing(issue: Issue, numbers: Numbers) -> str:
    target = bars(numbers, int(issue.value("target_measure")))
    return _in_the_score(issue, numbers, f"the ending has no repeat bar, and is taken to go back to {target}")


def _after_fine(issue: Issue, numbers: Numbers) -> str:
    text, onward = issue.value("text"), bars(numbers, int(issue.value("onward_measure")))
    return _in_the_score(
        issue, numbers, f"more music follows the {text}; it is taken to go on from {onward} after the Fine"
    )


def _unplayed(issue: Issue, numbers: Numbers) -> str:
    where = capital(bar_list(numbers, [int(each) for each in issue.all("measure")]))
    verb = "is" if len(issue.all("measure")) == 1 else "are"
    return f"{where} {verb} not reached by the repeats and jumps as printed; check the roadmap in the score."


def _in_the_score(issue: Issue, numbers: Numbers, what: str) -> str:
    return f"{capital(bars(numbers, issue.measure or 0))}: {what}; check it in the score."


def _no_time(issue: Issue, numbers: Numbers) -> str:
    meter = issue.value("meter")
    taken = f"{meter} was taken from its bars" if meter else "it was read as free time"
    return f"The score begins without a time signature; {taken}."


def _refused(issue: Issue, numbers: Numbers) -> str:
    left_out = count_of(int(issue.value("pieces")), "piece")
    verb = "was" if issue.value("pieces") == 1 else "were"
    return f"{left_out} of the file {verb} left out; the first because {issue.value('reason')}."


def _voice(issue: Issue) -> str:
    return issue.part or "One voice"


def _bar_lines(issue: Issue, numbers: Numbers) -> str:
    return (
        f"{_voice(issue)} had other bar lines than the rest of the score; they were set where the others "
        "have them."
    )


def _uneven(issue: Issue, numbers: Numbers) -> str:
    where = bars(numbers, issue.measure or 0)
    return (
        f"{_voice(issue)} does not last as long as the other voices, first in {where}; check it against the "
        "page."
    )


def _meters(issue: Issue, numbers: Numbers) -> str:
    other = issue.value("other") or "most of the score"
    return f"{issue.part} is in {issue.value('meter')} where {other} is in {issue.value('other_meter')}."


def _rhythm(issue: Issue, numbers: Numbers) -> str:
    count, bar = int(issue.value("bars")), issue.value("bar")
    first = f"bar {bar}" if bar else "the first bar"
    where = f"In {first}" if count == 1 else f"In {count} bars, the first of them {first},"
    return f"{where} the voices did not last equally long; a note was made to fit: check it against the page."


_APART = "to study and plan each by itself, take this piece out of the library and add the file again."

WORDS: Mapping[str, Words] = {
    # the file
    "encoding-healed": (
        "{file} says its letters are coded as {declared}, but they are {actual}; it was read so."
    ),
    "namespace-healed": "{file} puts its elements in a namespace; it was taken off.",
    "timewise-healed": "{file} is ordered bar by bar; it was turned into one line a part.",
    "format-converted": "{file} was read as {format} and turned into MusicXML.",
    "voices-set-apart": "{voices} voices share staves on the page; here each has a part of its own.",
    "bar-line-mended": _bar_lines,
    "voices-uneven": _uneven,
    "rhythm-mended": _rhythm,
    "notes-differ": "{file} has {written} notes in its text and {notes} were read; compare it with the page.",
    "pieces-refused": _refused,
    "several-pieces": "The file holds {pieces} pieces; " + _APART,
    "several-movements": "The file holds {movements} movements; " + _APART,
    "title-missing": "The file gives no title; it is listed as {title}.",
    # its parts
    "part-unnamed": "A part has no name in the file; it is called {part} here.",
    "part-names-equal": "{parts} parts are called {name}; numbers tell them apart.",
    "part-without-music": "{part} is in the list of parts but has no music.",
    "parts-uneven": "{part} has {bars} bars where {longest} has {longest_bars}.",
    "meters-differ": _meters,
    "time-missing": _no_time,
    # signs and notes
    "metronome-healed": "A metronome mark without a note value was left out{where}.",
    "harmony-healed": "A chord symbol without a note name was left out{where}.",
    "key-unusual": "The key signature mixes signs in an unusual way; it was read as none.",
    "key-absurd": "A key signature with {signs} signs was left out.",
    "time-unreadable": "A time signature could not be read and was left out.",
    "clef-unreadable": "A clef without a sign was left out.",
    "bar-too-full": "{Place} holds more than its time signature {meter} allows.",
    "bar-line-inside": "A bar line stands inside a bar.",
    "octave-line-open": "An octave line has no end; it was taken to the last bar.",
    "tie-from-nowhere": "A tie ends{where} where nothing is held; the note is struck again.",
    "note-unreadable": "A note{where} has no readable pitch and was left out.",
    "hidden-notes": "Notes that are not printed (from {place} on) were left out.",
    "length-absurd": "A length{where} is absurd and was taken as none.",
    "place-before-bar": "{Place} steps back before its own beginning.",
    "divisions-unreadable": "{Place} does not say how long a quarter note is.",
    # the roadmap
    "roadmap-differs": _differs,
    "roadmap-loose-end": _loose_end,
    "coda-missing": lambda issue, numbers: _in_the_score(
        issue, numbers, "To Coda is printed, but there is no coda to go to"
    ),
    "segno-missing": lambda issue, numbers: _in_the_score(
        issue, numbers, "a D.S. is printed, but there is no sign to go to"
    ),
    "fine-missing": _fine,
    "repeat-missing": _repeat_missing,
    "music-after-fine": _after_fine,
    "bars-unplayed": _unplayed,
    # instruments and their ranges
    "instrument-unknown": (
        "No instrument was recognised for the part “{part}”: its range and technique are not checked; "
        "name the instrument in the score."
    ),
    "instrument-unsure": _question,
    "drum-with-pitches": _drum,
    "transposition-odd": _transposition,
    "below-range": _out_of_range("below"),
    "above-range": _out_of_range("above"),
    # the whole
    "no-measures": "The score has no measures: nothing can be studied.",
    "no-notes": "No part has a note to play: check that the export is complete.",
}
"""For each slug its words."""


def issue_sentence(issue: Issue, numbers: Numbers = ()) -> str:
    """What, where, and what to do, as one sentence for a director.

    An issue of an older study, which has not the values that its words need, is named by its slug.

    Args:
        issue: The issue.
        numbers: Printed bar numbers by written measure; counted from 1 without them.

    Example:
        >>> issue_sentence(Issue("part-without-music", "warning", "Tuba"))
        'Tuba is in the list of parts but has no music.'
    """
    try:
        return _sentence(issue, numbers)
    except (KeyError, ValueError):
        what = f"{issue.part}: {issue.slug}" if issue.part else capital(issue.slug)
        return f"{what.replace('-', ' ')}; study the piece again to see what was found."


def _sentence(issue: Issue, numbers: Numbers) -> str:
    words = WORDS[issue.slug]
    if callable(words):
        return words(issue, numbers)
    place = _place(issue, numbers)
    where = f" in {place}" if place else ""
    return words.format(part=issue.part, where=where, place=place, Place=capital(place), **dict(issue.values))


def _place(issue: Issue, numbers: Numbers) -> str:
    """The bar of an issue as people find it; as its file numbers it where the page is not known."""
    bar = issue.value("bar")
    if bar and issue.measure is not None and issue.measure < len(numbers):
        return bars(numbers, issue.measure)
    return f"bar {bar}" if bar else ""
