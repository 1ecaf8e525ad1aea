"""What the words of one text mean together: a phrase of real English, or nothing."""

from collections.abc import Sequence
from itertools import groupby

from planner.core.glossary.terms import DEGREES, TermKind, glossary
from planner.core.profile import TermUse

COMPARED: dict[str, str] = {
    "abrupt": "", "bold": "bolder", "brave": "braver", "bright": "brighter", "brilliant": "",
    "brisk": "brisker", "broad": "broader", "calm": "calmer", "cheerful": "", "clear": "clearer",
    "comfortable": "", "crisp": "crisper", "dainty": "daintier", "dark": "darker", "defiant": "",
    "delicate": "", "devout": "", "dignified": "", "dramatic": "", "dreamy": "dreamier", "elegant": "",
    "excited": "", "fast": "faster", "festive": "", "fierce": "fiercer", "fiery": "fierier",
    "firm": "firmer", "fleeting": "", "frank": "franker", "fresh": "fresher", "furious": "",
    "gentle": "gentler", "gloomy": "gloomier", "graceful": "", "grand": "grander", "harsh": "harsher",
    "hasty": "", "heartfelt": "", "heavy": "heavier", "heroic": "", "intense": "", "joined": "",
    "joyful": "", "leisurely": "", "light": "lighter", "lively": "livelier", "loud": "louder",
    "lovable": "", "loving": "", "majestic": "", "marked": "", "measured": "", "merry": "merrier",
    "mournful": "", "mysterious": "", "noble": "nobler", "noisy": "noisier", "peaceful": "", "playful": "",
    "proud": "prouder", "quick": "quicker", "quiet": "quieter", "relaxed": "", "resolute": "",
    "restless": "", "restrained": "", "rough": "rougher", "sad": "sadder", "secret": "", "separate": "",
    "serious": "", "short": "shorter", "simple": "simpler", "skipping": "", "slow": "slower",
    "smooth": "smoother", "soft": "softer", "solemn": "", "sorrowful": "", "sparkling": "", "splendid": "",
    "stately": "", "stormy": "stormier", "strong": "stronger", "supple": "", "sustained": "",
    "sweet": "sweeter", "tearful": "", "tender": "", "thoughtful": "", "triumphant": "", "unhurried": "",
    "vigorous": "", "violent": "", "warm": "warmer", "weary": "wearier", "weighty": "weightier",
    "wild": "wilder",
}  # fmt: skip
"""Adjectives that a word for how much goes with, and what they become after *more*; empty where that is
*more* and the same word."""

COMPARISONS = frozenset(
    {*filter(None, COMPARED.values()), "held back", "less lively", "less slow", "softer and smoother"}
)
"""Meanings that compare with what went before."""

MOST_MEANINGS = 3
"""More ideas than this in one text are a paragraph, which is left to the page. House choice."""

_SINGLE_PLACE = frozenset({"to the end", "little by little", "suddenly", "always"})
"""Degrees that go with any meaning, beside the others."""
_A_LITTLE = frozenset({"a little", "just a little", "somewhat", "rather"})
_VERY = frozenset({"very", "very much", "well"})
_NOT_TOO = frozenset({"not too", "not too much", "not so much", "but not too much"})


def meaning(terms: Sequence[TermUse]) -> str:
    """What the words of a text mean, in one English phrase; empty where they make none.

    What two languages say alike is told once; of two different tempo words in one language the glossary has
    to know the pair.

    Example:
        >>> meaning((TermUse("allegro"), TermUse("con brio"))), meaning((TermUse("rit", ("molto",)),))
        ('quick and bright, with energy', 'getting much slower')
        >>> meaning((TermUse("schneller"), TermUse("più allegro"))), meaning((TermUse("arco", ("più",)),))
        ('faster', '')
    """
    kept: list[str] = []
    uses = _once(terms)
    for at, use in enumerate(uses):
        found = _limit(use) if _has_tempo(uses[:at]) else ""
        found = found or with_degrees(use)
        if not found:
            return ""
        if not any(found in other for other in kept):
            kept = [other for other in kept if other not in found]
            kept.append(found)
    if len(kept) > MOST_MEANINGS or _contradict(terms):
        return ""
    if len(kept) == 2 and all(each in COMPARED for each in kept):
        return " and ".join(kept)
    return ("; " if any(", " in each for each in kept) else ", ").join(kept)


def says_again(first: Sequence[TermUse], second: Sequence[TermUse]) -> bool:
    """Whether a second text says what a first one beside it has said: the same, or it in another language.

    Example:
        >>> says_again((TermUse("allegro"),), (TermUse("schnell"),)), says_again((TermUse("rit"),), ())
        (True, False)
    """
    if not second or not first:
        return False
    if meaning(first) == meaning(second):
        return True
    languages = [{glossary()[use.term].language for use in terms} for terms in (first, second)]
    subjects = [{_subject(use) for use in terms} - {""} for terms in (first, second)]
    return not languages[0] & languages[1] and bool(subjects[0] & subjects[1])


def _has_tempo(terms: Sequence[TermUse]) -> bool:
    return any(glossary()[use.term].kind is TermKind.TEMPO for use in terms)


def _limit(use: TermUse) -> str:
    """What a second tempo word with *not too* adds: *Andante, ma non troppo lento*; empty for any other."""
    first = glossary()[use.term].meaning.split(" and ")[0]
    return f"not too {first}" if first in COMPARED and _is_limited(use) else ""


def _is_limited(use: TermUse) -> bool:
    is_tempo = glossary()[use.term].kind is TermKind.TEMPO
    return is_tempo and any(DEGREES[degree] in _NOT_TOO for degree in use.degrees)


def _once(terms: Sequence[TermUse]) -> list[TermUse]:
    """The terms without those that say in a second language what the first has said of the same thing."""
    kinds = glossary()
    found: list[TermUse] = []
    languages: list[str] = []
    for language, uses in groupby(terms, key=lambda use: kinds[use.term].language):
        before = {_subject(use) for use in found} if languages and language not in languages else set()
        found += [use for use in uses if not (subject := _subject(use)) or subject not in before]
        languages.append(language)
    return found


def _subject(use: TermUse) -> str:
    """What a second language would say again: the tempo, or which way it changes; empty for all else."""
    term = glossary()[use.term]
    if term.kind is TermKind.TEMPO:
        return "tempo"
    return "change" if term.kind is TermKind.TEMPO_CHANGE and _compares(term.meaning) else ""


def _compares(plain: str) -> bool:
    """Whether a meaning tells a difference from what went before."""
    return plain in COMPARISONS or plain.startswith(("more ", "getting "))


def _contradict(terms: Sequence[TermUse]) -> bool:
    """Whether two tempo words of one language stand in a text that the glossary does not know as a pair."""
    first = next((use for use in terms if _has_tempo([use])), None)
    counted = (use for use in terms if _has_tempo([use]) and (use is first or not _is_limited(use)))
    tempos = [glossary()[use.term] for use in counted]
    speeds = {(term.language, term.meaning) for term in tempos if term.meaning not in _MANNERS}
    return len({language for language, _ in speeds}) < len(speeds)


_MANNERS = frozenset({"moving along", "lively", "broad", "like a march", "flowing", "without dragging"})
"""Meanings of tempo words that go with another tempo word: *Adagio con moto*, *Allegro animato*."""


def with_degrees(use: TermUse) -> str:
    """A term's meaning with the words for how much; empty where English has no such phrase.

    Example:
        >>> with_degrees(TermUse("allegro", ("ma non troppo",))), with_degrees(TermUse("dolce", ("più",)))
        ('quick, but not too quick', 'sweeter and gentler')
        >>> with_degrees(TermUse("cresc", ("poco a poco", "molto")))
        'getting much louder little by little'
    """
    term = glossary()[use.term]
    degrees = [DEGREES[degree] for degree in use.degrees]
    if "more and more" in degrees:
        degrees = [*(each for each in degrees if each != "more and more"), "always", "more"]
    loose = [each for each in degrees if each in _SINGLE_PLACE]
    rest = tuple(each for each in degrees if each not in _SINGLE_PLACE)
    plain = term.meaning
    if "always" in loose and (rest == ("more",) or (_compares(plain) and not rest)):
        loose.remove("always")
        plain = _ever_more(plain)
    elif rest:
        plain = _graded(plain, rest, is_tempo=term.kind is TermKind.TEMPO)
    return _placed(plain, loose) if plain else ""


def _placed(plain: str, loose: Sequence[str]) -> str:
    """A meaning with how long or how suddenly it comes."""
    is_change = _compares(plain)
    if "suddenly" in loose and not plain.startswith("suddenly"):
        plain = f"suddenly {plain}"
    if "always" in loose and not plain.endswith("all the time"):
        plain = plain.replace("getting", "steadily getting") if is_change else f"{plain} all the time"
    if "little by little" in loose and not plain.endswith("little by little"):
        words = plain.split(" and ")
        if all(word in COMPARED for word in words):
            plain = _more(words)
        if _compares(plain) and not plain.startswith("getting ") and plain != "held back":
            plain = f"getting {plain}"
        plain = f"{plain} little by little" if "getting " in plain or plain.endswith("ing") else ""
    return f"{plain} to the end" if plain and "to the end" in loose else plain


def _graded(plain: str, degrees: tuple[str, ...], *, is_tempo: bool) -> str:
    """A meaning to a degree; empty without a phrase for it."""
    if plain.startswith("getting "):
        return _getting(plain.removeprefix("getting "), degrees)
    if _compares(plain):
        return _compared(plain, degrees)
    if degrees == ("almost like",) and plain.startswith(("as if ", "like ")):
        return plain
    if plain.startswith("with "):
        return _with(plain.removeprefix("with "), degrees)
    words = plain.split(" and ")
    if not all(word in COMPARED for word in words):
        return ""
    return _adjective(words, degrees, is_tempo=is_tempo)


def _adjective(words: Sequence[str], degrees: tuple[str, ...], *, is_tempo: bool) -> str:
    plain = " and ".join(words)
    match degrees:
        case (one,) if one in _VERY:
            return f"very {plain}"
        case (one,) if one in _A_LITTLE:
            return f"{'rather' if is_tempo or one == 'rather' else 'a little'} {plain}"
        case ("not too",):
            return f"not too {words[0] if is_tempo else plain}"
        case (one,) if one in _NOT_TOO:
            return f"{words[0]}, but not too {words[0]}" if is_tempo else f"{plain}, but not too much"
        case ("not",) if len(words) == 1:
            return f"not {plain}"
        case ("less",):
            return f"less {plain}"
        case ("almost like",):
            return f"almost {plain}"
        case (*before, "more") if (more := _more(words)) and len(before) < 2:
            return _compared(more, tuple(before)) if before else more
        case (*before, "less") if len(before) == 1 and before[0] in _A_LITTLE:
            return f"a little less {plain}"
    return ""


def _more(words: Sequence[str]) -> str:
    return " and ".join(COMPARED[word] or f"more {word}" for word in words)


def _compared(plain: str, degrees: tuple[str, ...]) -> str:
    """A comparison to a degree: *a little slower*, *even more restless*."""
    is_held = plain == "held back"
    match degrees:
        case (one,) if one in _A_LITTLE:
            return "held back a little" if is_held else f"a little {plain}"
        case (one,) if one in _VERY:
            return "held back a lot" if is_held else f"much {plain}"
        case ("even",) | ("more",):
            return "held back even more" if is_held else f"even {plain}"
        case ("even", "more"):
            return "held back even more" if is_held else ""
        case ("not",):
            return f"not {plain}"
    return ""


def _getting(plain: str, degrees: tuple[str, ...]) -> str:
    match degrees:
        case ("without",) | ("not",):
            return f"{degrees[0]} getting {plain}"
        case ("more",):
            return f"getting even {plain}"
        case _ if (graded := _compared(plain, degrees)) and "not" not in degrees:
            return f"getting {graded}"
    return ""


_GRADED = frozenset({"a", "the", "much", "great", "more", "some", "soft", "wooden", "slight"})
"""Words before a noun that another word for how much does not go with."""


def _with(noun: str, degrees: tuple[str, ...]) -> str:
    if noun.split()[0] in _GRADED or "," in noun:
        return ""
    match degrees:
        case (one,) if one in _VERY:
            return f"with great {noun}"
        case (one,) if one in _A_LITTLE:
            return f"with a little {noun}" if one != "rather" else ""
        case ("more",) | ("less",):
            return f"with {degrees[0]} {noun}"
        case (one, "more") if one in _A_LITTLE:
            return f"with a little more {noun}"
        case ("without",):
            return f"without {noun}"
        case (one,) if one in _NOT_TOO:
            return f"with {noun}, but not too much"
    return ""


def _ever_more(plain: str) -> str:
    """What goes on growing."""
    if plain.startswith("with "):
        noun = plain.removeprefix("with ")
        return f"with more and more {noun}" if noun.split()[0] not in _GRADED else ""
    if plain.startswith("getting "):
        return f"steadily {plain}"
    words = plain.split(" and ")
    if _compares(plain):
        return "" if plain == "held back" else f"getting {plain}"
    return f"getting {_more(words)}" if all(word in COMPARED for word in words) else ""
