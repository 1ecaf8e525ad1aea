"""Words printed in scores that have a player put something on, take it off or take something up."""

import re
from enum import StrEnum
from functools import cache


class Change(StrEnum):
    """What a player does to the instrument."""

    MUTE = "mute"
    STRAIGHT_MUTE = "straight mute"
    CUP_MUTE = "cup mute"
    HARMON_MUTE = "harmon mute"
    BUCKET_MUTE = "bucket mute"
    PLUNGER = "plunger"
    OPEN = "open"
    PLUCK = "pluck"
    BOW = "bow"
    STICKS = "sticks"
    BRUSHES = "brushes"
    SOFT_MALLETS = "soft mallets"
    MEDIUM_MALLETS = "medium mallets"
    HARD_MALLETS = "hard mallets"
    YARN_MALLETS = "yarn mallets"
    RUBBER_MALLETS = "rubber mallets"
    SNARES_ON = "snares on"
    SNARES_OFF = "snares off"


MUTES = frozenset({
    Change.MUTE, Change.STRAIGHT_MUTE, Change.CUP_MUTE, Change.HARMON_MUTE, Change.BUCKET_MUTE,
    Change.PLUNGER,
})  # fmt: skip
BOWING = frozenset({Change.PLUCK, Change.BOW})
SNARES = frozenset({Change.SNARES_ON, Change.SNARES_OFF})
BEATERS = frozenset(Change) - MUTES - BOWING - SNARES - {Change.OPEN}

WORDS: dict[str, Change] = {
    r"con sord(?:\.|in[oi]\.?)?": Change.MUTE,
    r"c\. ?sord(?:\.|in[oi]\.?)?": Change.MUTE,
    r"mit dämpfern?": Change.MUTE,
    r"avec (?:la |les )?sourdines?": Change.MUTE,
    r"mettez (?:la|les) sourdines?": Change.MUTE,
    r"(?:to |with |w/ ?)?mutes?(?: on| in)?": Change.MUTE,
    r"muted": Change.MUTE,
    r"(?:to |with |w/ ?)?(?:straight|st\.|str\.) mutes?": Change.STRAIGHT_MUTE,
    r"(?:to |with |w/ ?)?cup mutes?": Change.CUP_MUTE,
    r"(?:to |with |w/ ?)?harmon mutes?": Change.HARMON_MUTE,
    r"(?:to |with |w/ ?)?bucket mutes?": Change.BUCKET_MUTE,
    r"(?:to |with |w/ ?)?plunger(?: mute)?": Change.PLUNGER,
    r"senza sord(?:\.|in[oi]\.?)?": Change.OPEN,
    r"s\. ?sord(?:\.|in[oi]\.?)?": Change.OPEN,
    r"via (?:il |i )?sord(?:\.|in[oi]\.?)?": Change.OPEN,
    r"ohne dämpfer": Change.OPEN,
    r"dämpfer (?:weg|ab)": Change.OPEN,
    r"sans sourdines?": Change.OPEN,
    r"(?:ôtez|otez|enlevez) (?:la|les) sourdines?": Change.OPEN,
    r"mutes? (?:off|out)": Change.OPEN,
    r"(?:no|without|remove|take off|take out) mutes?": Change.OPEN,
    r"unmuted?": Change.OPEN,
    r"open": Change.OPEN,
    r"pizz(?:\.|icato)?": Change.PLUCK,
    r"(?:col ?l?['’]? ?)?arco": Change.BOW,
    r"(?:to |with |w/ ?)?(?:wire )?brushes": Change.BRUSHES,
    r"(?:to |with |w/ ?)?(?:drum ?|snare |wood |wooden )?sticks": Change.STICKS,
    r"bacchette di legno": Change.STICKS,
    r"(?:mit )?holzschlägeln?": Change.STICKS,
    r"baguettes (?:de|en) bois": Change.STICKS,
    r"(?:to |with |w/ ?)?soft mallets": Change.SOFT_MALLETS,
    r"bacchette di spugna": Change.SOFT_MALLETS,
    r"(?:mit )?schwammschlägeln?": Change.SOFT_MALLETS,
    r"baguettes d['’]éponge": Change.SOFT_MALLETS,
    r"(?:with |w/ ?)?medium mallets": Change.MEDIUM_MALLETS,
    r"(?:to |with |w/ ?)?hard mallets": Change.HARD_MALLETS,
    r"(?:with |w/ ?)?yarn mallets": Change.YARN_MALLETS,
    r"(?:with |w/ ?)?rubber mallets": Change.RUBBER_MALLETS,
    r"snares? on": Change.SNARES_ON,
    r"snares? off": Change.SNARES_OFF,
}
"""Patterns of what is printed, in small letters, in four languages. From memory; common practice."""

TAKE_UP = re.compile(
    r"(?:muta(?:no|re)? in|changes? to|switch to|to|take|nimmt|nehmen|prend(?:re)?|prenez|changez en)"
    r"(?: the| la| le| an?)?[ :]+(?P<what>\D+)"
)
"""What stands before an instrument that is taken up. From memory; common practice."""
_BESIDE = re.compile(r"(?:[\s,;:.()\[\]+&/–-]|\b(?:e|and|und|et|sempre|div|unis|tutti|trem)\b\.?)*")
"""What may stand beside such words without changing what they mean."""


@cache
def _finder() -> re.Pattern[str]:
    longest = sorted(WORDS, key=lambda pattern: (-len(pattern), pattern))
    return re.compile("|".join(rf"(?P<w{list(WORDS).index(one)}>(?<!\w){one}(?!\w))" for one in longest))


@cache
def changes_in(text: str) -> tuple[Change, ...]:
    """What a text on the page has a player do; nothing where it says more than that.

    Example:
        >>> changes_in("arco, senza sord.") == (Change.BOW, Change.OPEN)
        True
        >>> changes_in("con sord. ad lib."), changes_in("mute if possible")
        ((), ())
    """
    folded = " ".join(text.casefold().split())
    found, rest, at = list[Change](), "", 0
    for match in _finder().finditer(folded):
        rest += folded[at : match.start()] + " "
        at = match.end()
        found.append(list(WORDS.values())[int((match.lastgroup or "w0")[1:])])
    rest += folded[at:]
    return tuple(found) if _BESIDE.fullmatch(rest) else ()


def taken_up(text: str) -> str:
    """The name of what a text has a player take up; empty where it is no such text.

    Example:
        >>> taken_up("To Piccolo"), taken_up("muta in Flauto piccolo"), taken_up("Piccolo")
        ('piccolo', 'flauto piccolo', '')
    """
    match = TAKE_UP.fullmatch(" ".join(text.casefold().strip(" ()[].").split()))
    return match["what"].strip() if match else ""
