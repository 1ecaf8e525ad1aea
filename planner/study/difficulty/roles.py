"""What each part of a score is to the group that reads it: one of its lines, or beside it.

A song's piano is no part of a choir's level, a concerto's solo line no part of the strings'. Where the names
do not settle it, a part is one of the group's: a band's piano, a trio's piano, a quartet's first violin.
"""

import re
from collections.abc import Sequence
from enum import StrEnum
from typing import Protocol

from planner.core.instruments import get_instrument
from planner.core.instruments.naming import fold


class Role(StrEnum):
    """What a part is to the group."""

    SECTION = "section"
    """One of the group's own lines: a section reads it."""
    SOLOIST = "soloist"
    """A solo line apart from the group."""
    ACCOMPANIST = "accompanist"
    """A keyboard, harp or guitar that accompanies the group, or a reduction of what it plays."""
    PRACTICE = "practice"
    """Printed for rehearsals, not read in performance."""


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
    r"|zum (?:uben|proben|einstudieren)|einstudierung|korrepetition\w*"
    r"|repetitions?|pour (?:l'etude|etudier|travailler)"
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
    r"\b(?:sol[oi]|solos|soliste?s?|solist(?:in|en)?|solistas?|concertino|concertante|cantor)\b"
)
_PRINCIPALE = re.compile(r"\bprincipale\b")
_EVERYONE = re.compile(
    r"\b(?:tutti|chorus|choir|choral|chorale|coro|chor|choeur|ripien[oi]|repiano|all|others|rest|altri)\b"
)
"""Words that give a line to the group although a solo is named beside it."""

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

    A keyboard accompanies where at least half of the other lines sing, or beside one other line; a harp or a
    guitar accompanies singers alone. A line named solo is apart where a group is left beside it.

    Args:
        parts: Those of one score that have notes.

    Example:
        >>> from planner.core.profile import PartProfile
        >>> named = (("Soprano", "soprano"), ("Alto", "alto"), ("Piano (for practice only)", "piano"))
        >>> parts = [PartProfile(name, instrument, 0, 9, None, None, 2.0) for name, instrument in named]
        >>> [str(role) for role in roles_of(parts)]
        ['section', 'section', 'practice']
    """
    names = [fold(part.name) for part in parts]
    roles = [Role.PRACTICE if _PRACTICE.search(name) else Role.SECTION for name in names]
    if Role.SECTION not in roles:
        return (Role.SECTION,) * len(parts)
    for at in _accompanists(parts, names, roles):
        roles[at] = Role.ACCOMPANIST
    for at in _soloists(parts, names, roles):
        roles[at] = Role.SOLOIST
    return tuple(roles)


def parts_of_group(parts: Sequence[NamedPart]) -> tuple[bool, ...]:
    """Whether each part is one of the lines that make a piece as hard as it is.

    Args:
        parts: Those of one score that have notes.
    """
    return tuple(role is Role.SECTION for role in roles_of(parts))


def _accompanists(parts: Sequence[NamedPart], names: Sequence[str], roles: Sequence[Role]) -> list[int]:
    able = [_is_keyboard(part, name) for part, name in zip(parts, names, strict=True)]
    plucked = [part.instrument in _HARMONY for part in parts]
    lines = [at for at, role in enumerate(roles) if role is Role.SECTION]
    found = [at for at in lines if _REDUCTION.search(names[at])]
    found += [
        at for at in lines
        if _ACCOMPANIMENT.search(names[at]) and (able[at] or plucked[at] or not parts[at].instrument)
    ]  # fmt: skip
    others = [at for at in lines if not able[at] and at not in found]
    singing = [at for at in others if _family(parts[at]) == "voice"]
    keyboards = [at for at in lines if able[at]]
    is_solo_with_keyboard = len(others) == len(keyboards) == 1
    if is_solo_with_keyboard or (singing and 2 * len(singing) >= len(others)):
        found += keyboards
    if singing and all(plucked[at] for at in others if at not in singing):
        found += [at for at in others if plucked[at]]
    return found if len(set(found)) < len(lines) else []


def _is_keyboard(part: NamedPart, name: str) -> bool:
    return _family(part) == "keyboard" or bool(_CONTINUO.search(name))


def _soloists(parts: Sequence[NamedPart], names: Sequence[str], roles: Sequence[Role]) -> list[int]:
    lines = [at for at, role in enumerate(roles) if role is Role.SECTION]
    families = [_family(parts[at]) for at in lines]
    winds = families.count("woodwind") + families.count("brass")
    is_band = winds > families.count("strings") + families.count("voice")
    has_cornets = any(parts[at].instrument.startswith("cornet") for at in lines)
    found = []
    for at in lines:
        family, instrument = _family(parts[at]), parts[at].instrument
        is_chair = is_band and (instrument.startswith(_CHAIRS) or (has_cornets and family == "brass"))
        named = _SOLO.search(names[at]) or (family == "strings" and _PRINCIPALE.search(names[at]))
        if named and not is_chair and not _EVERYONE.search(names[at]):
            found.append(at)
    group = [parts[at] for at in lines if at not in found]
    if len(group) >= _LEAST_GROUP:
        return found
    return [at for at in found if any(_are_alike(parts[at], other) for other in group)]


def _are_alike(one: NamedPart, other: NamedPart) -> bool:
    if _family(one) == "voice" or _family(other) == "voice":
        return _family(one) in ("voice", "") and _family(other) == "voice"
    return bool(one.instrument) and one.instrument == other.instrument


def _family(part: NamedPart) -> str:
    """Family of its instrument; empty when not known."""
    try:
        return get_instrument(part.instrument).family
    except KeyError:
        return ""
