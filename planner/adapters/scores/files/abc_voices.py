r"""ABC tune books: one text a tune, its voices each on a staff of its own, and how many notes each must give.

An ABC reader can lose voices and notes without an error (named inside the line, or
printed two on a staff, voices may run together into one), so they are counted here from
the text. Voices that share a staff are set apart, so that each becomes a part that its
singers can read; those of a keyboard stay together.
Source: ABC notation standard 2.1, sections 2.2 (tune book), 4 (the tune body), 4.11 (ties) and 7
(multiple voices; ``%%score``), and the older ``%%staves``.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from planner.adapters.scores.files.text_count import NO_HEADS, TextCount

_INLINE = re.compile(r"\[V:\s*([^\s\]]+)[^\]]*\]")
_LINE = re.compile(r"^V:\s*(\S+)")
_FIELD = re.compile(r"^(?:[A-Za-z+]:|%|\s*$)")
_NAMED = re.compile(r"^V:\s*(\S+).*?\b(?:name|nm)\s*=\s*\"([^\"]*)\"")
_LAYOUT = re.compile(r"^(?:%%|I:\s*)(?:score|staves)\s+(.*)$")
_LAYOUT_TOKEN = re.compile(r"[{}()]|[^\s{}()\[\]|*]+")
_CLEF = re.compile(r"(?:^|\s)(clef=\S+|(?:treble|bass|alto|tenor|soprano|mezzo|perc)\S*)", re.IGNORECASE)
_CLOSED_SCORE = ("Soprano", "Alto", "Tenor", "Bass")
"""Voices of a sung score on two staves, two on each. Source: common practice of hymn books."""

_NO_NOTES = re.compile(r'"[^"]*"|![^!|:\s]*!|\{[^}]*\}|\[[A-Za-z]:[^\]]*\]|\[\||\|\]|\[\d[\d,\-]*|\\?%.*$')
"""Chord names, decorations, grace notes, fields, bar lines with a bracket, endings and remarks."""
_OLD_CHORD = re.compile(r"\+((?:[\^_=]*[A-Ga-g][,']*[\d/]*){2,})\+")
_MAIL_MARK = re.compile(r"=(?:20|0[9AD])$")
_EVENT = re.compile(r"\[([^\]]*)\][\d/<>]*(-?)|[\^_=]*([A-Ga-g])([,']*)[\d/]*(-?)|[zxZX&]")
_HEAD = re.compile(r"([A-Ga-g])([,']*)[\d/]*(-?)")


@dataclass(frozen=True, slots=True)
class Tune:
    """One tune.

    Attributes:
        text: The tune, its voices on staves of their own.
        voices: Voices that have music, in order of their first note.
        staves: How many staves they stand on.
        shared: How many voices stood on a staff with another before they were set apart.
        names: For each staff a name where the text has none, or empty.
        count: The heads of all voices.
    """

    text: str
    voices: tuple[str, ...]
    staves: int = 1
    shared: int = 0
    names: tuple[str, ...] = ()
    count: TextCount = NO_HEADS


def split_tunes(text: str) -> Iterator[Tune]:
    r"""Each tune of a tune book.

    Example:
        >>> book = "X:1\nK:C\n[V:S]C|\n[V:A]E|\nX:2\nK:G\nG|\n"
        >>> [(tune.voices, tune.count.heads) for tune in split_tunes(book)]
        [(('S', 'A'), 2), (('',), 1)]
        >>> next(split_tunes("X:1\n%%score (S A)\nV:S\nV:A\nK:C\n[V:S]C|\n[V:A]E|\n")).staves
        2
    """
    starts = [m.start() for m in re.finditer(r"(?m)^X:", text)]
    preamble = text[: starts[0]] if starts else ""
    shared = [line for line in preamble.split("\n") if re.match(r"^[LMQU]:", line)]
    for start, stop in zip(starts, [*starts[1:], len(text)], strict=True):
        lines = [_modern(line.rstrip()) for line in text[start:stop].split("\n")]
        yield _tune([lines[0], *shared, *lines[1:]])


def _modern(line: str) -> str:
    """A line of music without what later readers do not know: chords between plus signs, marks of mail.

    Source: ABC 1.6 writes ``+CEG+`` for ``[CEG]``; mail in quoted-printable leaves ``=20`` at line ends.

    Example:
        >>> _modern("+E3A3+ cBA|=20"), _modern("+fermata+ c")
        ('[E3A3] cBA|', '+fermata+ c')
    """
    if _FIELD.match(line):
        return line
    return _OLD_CHORD.sub(r"[\1]", _MAIL_MARK.sub("", line))


def _tune(lines: list[str]) -> Tune:
    music = _music_by_voice(lines)
    heads = [_count(text) for text in music.values()]
    count = TextCount(sum(each.heads for each in heads), sum(each.struck for each in heads))
    voices = tuple(music)
    # A voice that is declared and has no music would come out as a part with nothing to play.
    lines = [line for line in lines if not (m := _LINE.match(line)) or m.group(1) in voices or not voices]
    layout = _layout(lines, voices)
    if layout is None:
        # A layout that leaves out voices with music would lose them; without it each voice is a part.
        lines = [line for line in lines if not _LAYOUT.match(line)]
        names = _names(lines, [_Staff([voice], False) for voice in _declared(lines, voices)])
        return Tune("\n".join(lines), voices, max(1, len(voices)), names=names, count=count)
    at, staves = layout
    apart = [staff for staff in staves if len(staff.voices) > 1 and not staff.is_keyboard]
    names = _CLOSED_SCORE if _is_closed_score(lines, staves) else _names(lines, staves)
    for staff in apart:
        _share_clef(lines, staff.voices)
    if apart:
        lines[at] = f"%%score {_rewritten(lines[at])}"
    alone = sum(len(staff.voices) for staff in staves if not staff.is_keyboard)
    together = sum(staff.is_keyboard for staff in staves)
    return Tune(
        "\n".join(lines), voices, alone + together, sum(len(staff.voices) for staff in apart), names, count
    )


def _declared(lines: list[str], voices: tuple[str, ...]) -> list[str]:
    """Voices with music in the order a reader without a layout gives them: as declared, then as they come."""
    key = next((at for at, line in enumerate(lines) if line.startswith("K:")), len(lines))
    declared = [m.group(1) for m in map(_LINE.match, lines[:key]) if m]
    return [voice for voice in dict.fromkeys([*declared, *voices]) if voice in voices]


@dataclass(slots=True)
class _Staff:
    """The voices of one staff, and whether it is one of a keyboard's."""

    voices: list[str]
    is_keyboard: bool


def _layout(lines: list[str], voices: tuple[str, ...]) -> tuple[int, list[_Staff]] | None:
    """The line that says which voices stand on which staff, and what it says of voices with music.

    The first one counts; None without one, and where it leaves out a voice that has music.
    """
    for at, line in enumerate(lines):
        found = _LAYOUT.match(line)
        if found is None:
            continue
        staves: list[_Staff] = []
        braces = 0
        together: _Staff | None = None
        for sign in _LAYOUT_TOKEN.findall(found.group(1)):
            if sign in "{}":
                braces += 1 if sign == "{" else -1
            elif sign == "(":
                together = _Staff([], braces > 0)
            elif sign == ")":
                staves += [together] if together is not None and together.voices else []
                together = None
            elif sign in voices:
                if together is None:
                    staves.append(_Staff([sign], braces > 0))
                else:
                    together.voices.append(sign)
        named = [voice for staff in staves for voice in staff.voices]
        return (at, staves) if sorted(named) == sorted(voices) else None
    return None


def _rewritten(line: str) -> str:
    """What a layout line says, with parentheses only within braces, around what a keyboard's staff holds."""
    found = _LAYOUT.match(line)
    kept: list[str] = []
    braces = 0
    for sign in found.group(1) if found else "":
        braces += {"{": 1, "}": -1}.get(sign, 0)
        kept.append(" " if sign in "()" and not braces else sign)
    return "".join(kept).strip()


def _share_clef(lines: list[str], voices: list[str]) -> None:
    """Give every voice of a staff the clef of the first that has one, in a ``V:`` line."""
    key = next((at for at, line in enumerate(lines) if line.startswith("K:")), len(lines))
    places = {m.group(1): at for at in range(key) if (m := _LINE.match(lines[at]))}
    clefs = {voice: m.group(1) for voice in voices if voice in places
             and (m := _CLEF.search(_after_name(lines[places[voice]])))}  # fmt: skip
    if not clefs:
        return
    clef = next(iter(clefs.values()))
    for voice in voices:
        if voice in clefs:
            continue
        if voice in places:
            lines[places[voice]] = f"{lines[places[voice]].split('%')[0].rstrip()} {clef}"
        else:
            lines.insert(key, f"V:{voice} {clef}")


def _after_name(line: str) -> str:
    return line[line.index(":") + 1 :].split("%")[0].strip().partition(" ")[2]


def _is_closed_score(lines: list[str], staves: list[_Staff]) -> bool:
    """Whether this is a sung score of two staves with two voices each, none of them named."""
    key = next((at for at, line in enumerate(lines) if line.startswith("K:")), len(lines))
    is_named = any(re.search(r"\b(?:name|nm)\s*=", line) for line in lines[:key] if line.startswith("V:"))
    is_sung = any(line.startswith("w:") for line in lines)
    return is_sung and not is_named and [len(staff.voices) for staff in staves] == [2, 2]


def _names(lines: list[str], staves: list[_Staff]) -> tuple[str, ...]:
    """What the voices are called, staff by staff; a voice's own mark where that is a word, else empty."""
    declared = {m.group(1): m.group(2) for line in lines if (m := _NAMED.match(line))}
    firsts = [
        voice for staff in staves for voice in (staff.voices[:1] if staff.is_keyboard else staff.voices)
    ]
    return tuple(
        declared.get(voice, "") or (voice if voice.isalpha() and len(voice) > 2 else "") for voice in firsts
    )


def _music_by_voice(lines: list[str]) -> dict[str, str]:
    """The music lines of each voice that has notes or rests, in order of its first one."""
    key = next((at for at, line in enumerate(lines) if line.startswith("K:")), len(lines))
    found: dict[str, list[str]] = {}
    current = next((m.group(1) for m in map(_LINE.match, lines[:key]) if m), "")
    is_text = False
    for line in lines[key + 1 :]:
        if line.startswith(("%%begin", "%%end")):
            is_text = line.startswith("%%begin")
        whole = _LINE.match(line)
        if whole:
            current = whole.group(1)
        elif not is_text and not _FIELD.match(line):
            at = 0
            for inline in _INLINE.finditer(line):
                _add(line[at : inline.start()], current, found)
                current, at = inline.group(1), inline.end()
            _add(line[at:], current, found)
    return {voice: "\n".join(music) for voice, music in found.items()}


def _add(music: str, voice: str, found: dict[str, list[str]]) -> None:
    if re.search(r"[A-Ga-gzxZX]", music):
        found.setdefault(voice, []).append(music)


def _count(music: str) -> TextCount:
    """The heads of one voice's lines; a tie holds to the next head of the same letter and octave."""
    heads = struck = 0
    held: set[str] = set()
    for line in music.split("\n"):
        for event in _EVENT.finditer(_NO_NOTES.sub(" ", line)):
            chord, chord_tie, letter, octave, tie = event.groups()
            if letter:
                each = [(letter + octave, tie)]
            elif chord is not None:
                each = [(a + b, c or chord_tie) for a, b, c in _HEAD.findall(chord)]
            else:
                each = []
            heads += len(each)
            struck += sum(name not in held for name, _ in each)
            held = {name for name, is_tied in each if is_tied}
    return TextCount(heads, struck)
