"""What each part of a score is to the group that reads it: one of its lines, or beside it.

A song's piano is no part of a choir's level, a concerto's solo line no part of the strings'. Where the names
do not settle it, a part is one of the group's: a band's piano, a trio's piano, a quartet's first violin.
"""

import re
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

from planner.core.ensemble import Role
from planner.core.instruments import get_instrument
from planner.core.instruments.naming import fold


class NamedPart(Protocol):
    """A part with its printed name and the id of its instrument, empty when not known."""

    @property
    def name(self) -> str:
        """As printed."""

    @property
    def instrument(self) -> str:
        """Id in the instrument table."""


_PRACTICE = re.compile(
    r"\b(?:"
    r"rehears(?:al|als|e|ing)|practi[cs](?:e|ing)(?! pads?\b)"
    r"|proben?(?:klavier|zwecken?|fassung)?|ubungs?(?:klavier|zwecken?|hilfe)?"
    r"|zum (?:uben|einuben|proben|einstudieren)|einstudierung|korrepet\w*"
    r"|repetitions?|(?:pour l'|d')etude|pour (?:etudier|travailler)"
    r"|prov[ae]|per (?:lo )?(?:studio|esercizio)|per studiare"
    r"|ensayos?|ensayar|para (?:el )?estudio|para practicar|ensaios?|ensaiar"
    r"|repetities?|oefen(?:en|piano|partij)?"
    r")\b"
)
"""Words for rehearsing in a part's name, accents folded.

Source: English ones from octavos of the reference scores; German, French, Italian, Spanish, Portuguese and
Dutch ones common practice, from memory.
"""
_REDUCTION = re.compile(
    r"\b(?:reduction|reduktion|reduccion|riduzione|reducao|klavierauszug|condensed(?: score)?|short score"
    r"|(?:piano|keyboard)[ -]conductor|conductor)\b"
)
_ACCOMPANIMENT = re.compile(r"\b(?:accomp\w*|begleit\w*|acomp\w*|akkomp\w*)\b")
_CONTINUO = re.compile(r"\b(?:continuo|generalbass|thorough ?bass)\b|^b\. ?c\.?$")
_SOLO = re.compile(
    r"\b(?:sol[oi]|solos|soloists?|soliste?s?|solist(?:in|en|as?)?|concertino|concertante|cantor"
    r"|solo(?:violin|violine|geige|viola|bratsche|cello|flote|oboe|klarinette|fagott|horn|trompete|posaune"
    r"|klavier|stimmen?|gesang|sopran|alt|tenor|bariton|bass))\b"
)
_PRINCIPALE = re.compile(r"\bprincipale\b")
_EVERYONE = re.compile(
    r"\b(?:tutti|chorus|choir|choral|chorale|coro|chor|choeur|ripien[oi]|repiano|all|others|rest|altri)\b"
)
"""Words that give a line to the group although a solo is named beside it."""

_WORDS = (_PRACTICE, _REDUCTION, _ACCOMPANIMENT, _CONTINUO, _SOLO, _PRINCIPALE, _EVERYONE)

_HARMONY = frozenset({"harp", "guitar", "ukulele", "banjo"})
"""Plucked instruments that accompany singers by themselves."""
_CHAIRS = ("cornet", "tenor-horn", "mellophone", "flugelhorn", "clarinet")
"""Where "solo" is the name of a chair that several players share, in bands.

Source: common practice in brass bands (solo cornets, solo horn) and in older wind-band sets (solo clarinets).
"""
_LEAST_GROUP = 2
"""Lines that make a group for a solo to stand apart from; one of its own kind is enough. House choice."""


def roles_of(parts: Sequence[NamedPart]) -> tuple[Role, ...]:
    """The role of each part, in the order given.

    A keyboard accompanies where as many lines sing as other instruments play, or beside one other line; a
    harp or a guitar accompanies singers alone. A line named solo is apart where a group is left beside it.

    Args:
        parts: Those of one score that have notes.

    Example:
        >>> from planner.core.profile import PartProfile
        >>> named = (("Soprano", "soprano"), ("Alto", "alto"), ("Piano (for practice only)", "piano"))
        >>> parts = [PartProfile(name, instrument, 0, 9, None, None, 2.0) for name, instrument in named]
        >>> [str(role) for role in roles_of(parts)]
        ['section', 'section', 'practice']
    """
    return _roles(tuple((part.name, part.instrument) for part in parts))


@lru_cache(maxsize=1024)
def _roles(parts: tuple[tuple[str, str], ...]) -> tuple[Role, ...]:
    lines = [_Line.of(name, instrument) for name, instrument in parts]
    group = [line for line in lines if not line.names(_PRACTICE)]
    if not group:
        return (Role.SECTION,) * len(parts)
    accompanists = _accompanists(group)
    group = [line for line in group if line not in accompanists]
    soloists = _soloists(group)

    def role(line: _Line) -> Role:
        if line.names(_PRACTICE):
            return Role.PRACTICE
        if line in accompanists:
            return Role.ACCOMPANIST
        return Role.SOLOIST if line in soloists else Role.SECTION

    return tuple(role(line) for line in lines)


def parts_of_group(parts: Sequence[NamedPart]) -> tuple[bool, ...]:
    """Whether each part is one of the lines that make a piece as hard as it is.

    Args:
        parts: Those of one score that have notes.
    """
    return tuple(role is Role.SECTION for role in roles_of(parts))


def is_named_solo(name: str) -> bool:
    """Whether a part or a section is called a solo.

    Example:
        >>> is_named_solo("Violin 1 solo"), is_named_solo("Violin 1 tutti")
        (True, False)
    """
    line = _Line.of(name, "")
    return line.names(_SOLO) and not line.names(_EVERYONE)


@dataclass(frozen=True, eq=False)
class _Line:
    """A part as far as its role goes: its folded name, its instrument, and the family of that, if known."""

    name: str
    instrument: str
    family: str
    kinds: frozenset[re.Pattern[str]]

    @staticmethod
    @lru_cache(maxsize=4096)
    def of(name: str, instrument: str) -> "_Line":
        folded, family = fold(name), ""
        with suppress(KeyError):
            family = get_instrument(instrument).family
        kinds = frozenset(words for words in _WORDS if words.search(folded))
        return _Line(folded, instrument, family, kinds)

    def names(self, words: re.Pattern[str]) -> bool:
        return words in self.kinds

    @property
    def is_keyboard(self) -> bool:
        return self.family == "keyboard" or self.names(_CONTINUO)

    @property
    def is_plucked(self) -> bool:
        return self.instrument in _HARMONY

    @property
    def sings(self) -> bool:
        return self.family == "voice"


def _accompanists(lines: Sequence[_Line]) -> set[_Line]:
    """Those that accompany the rest; none where nobody would be left."""

    def is_named(line: _Line) -> bool:
        plays_harmony = line.is_keyboard or line.is_plucked or not line.instrument
        return line.names(_REDUCTION) or (line.names(_ACCOMPANIMENT) and plays_harmony)

    found = {line for line in lines if is_named(line)}
    keyboards = [line for line in lines if line.is_keyboard]
    others = [line for line in lines if not line.is_keyboard and line not in found]
    singers = [line for line in others if line.sings]
    is_solo_with_keyboard = len(others) == len(keyboards) == 1
    players = {line.instrument for line in others if not line.sings}
    if is_solo_with_keyboard or (singers and len(singers) >= len(players)):
        found.update(keyboards)
    if singers and all(line.sings or line.is_plucked for line in others):
        found.update(line for line in others if line.is_plucked)
    return found if any(line not in found for line in lines) else set()


def _soloists(lines: Sequence[_Line]) -> set[_Line]:
    """Those named solo that stand apart from a group; none where no group is left."""
    families = [line.family for line in lines]
    winds = families.count("woodwind") + families.count("brass")
    is_band = winds > families.count("strings") + families.count("voice")
    has_cornets = any(line.instrument.startswith("cornet") for line in lines)

    def is_solo(line: _Line) -> bool:
        is_chair = is_band and (
            line.instrument.startswith(_CHAIRS) or (has_cornets and line.family == "brass")
        )
        named = line.names(_SOLO) or (line.family == "strings" and line.names(_PRINCIPALE))
        return named and not is_chair and not line.names(_EVERYONE)

    found = {line for line in lines if is_solo(line)}
    group = [line for line in lines if line not in found]
    if len(group) >= _LEAST_GROUP:
        return found
    return {line for line in found if any(_are_alike(line, other) for other in group)}


def _are_alike(solo: _Line, other: _Line) -> bool:
    if solo.sings or other.sings:
        return other.sings and solo.family in ("voice", "")
    return bool(solo.instrument) and solo.instrument == other.instrument
