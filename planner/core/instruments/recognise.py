"""Which instrument each part of a score is for, weighed from everything its page and its neighbours say.

For each part the page says how probable it would be for each instrument (``part_page``), each kind of
ensemble how often it has such a part (``ensembles``). All parts are weighed together: which kind the score is
for, given all of them, and each part given the kind and the parts around it. What is left in doubt is asked.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import log2

from planner.core.instruments.ensembles import KINDS, shares_in
from planner.core.instruments.part_page import (
    PartPage,
    contradicts,
    fit_of,
    main_and_others,
    reading_of,
)
from planner.core.instruments.table import INSTRUMENTS, get_instrument
from planner.core.pitch import Transposition
from planner.core.score import Clef
from planner.core.text import folded


@dataclass(frozen=True, slots=True)
class Recognition:
    """What a part was taken for.

    Attributes:
        instrument: Id in the table, or empty when nothing fits.
        confidence: The chance that it is right, 0 to 1.
        chair: Which of several parts for the instrument, 1 the first; None when none is named.
        doubts: Ids of the instruments it may be, the likeliest first, when it is only a guess.
        chairs: Every chair the part is for (``"Horns 1, 2"`` gives ``(1, 2)``).
        doublings: Ids of instruments the player also takes up, or that share the line.
    """

    instrument: str
    confidence: float
    chair: int | None = None
    doubts: tuple[str, ...] = ()
    chairs: tuple[int, ...] = ()
    doublings: tuple[str, ...] = ()

    @property
    def is_sure(self) -> bool:
        """An instrument was found, and the director need not be asked."""
        return bool(self.instrument) and not self.doubts


DOUBT = 0.7
"""Chance of being right below which the director is asked. Source: house choice."""
_GUESS = 0.3
"""Chance below which not even a guess is made."""
_ASKED = 0.06
"""Chance below which an instrument is not among those that the director is asked about."""
_MOST_ASKED = 4
_UNKNOWN = 0.03
"""Share of parts that are for an instrument the table has not. House choice."""


def recognise(
    name: str,
    abbreviation: str = "",
    sound: str = "",
    midi_program: int | None = None,
    transposition: Transposition | None = None,
    clef: Clef | None = None,
    is_percussion: bool = False,
    *,
    compass: tuple[int, int] | None = None,
    is_sung: bool = False,
    staves: int = 1,
    ensemble: str = "",
) -> Recognition:
    """Find the instrument of a part that stands alone; ``recognise_together`` does it for a score.

    Args:
        name: Printed name, in English, Italian, French, German or Spanish.
        abbreviation: Printed short name.
        sound: MusicXML instrument sound.
        midi_program: General MIDI program 1-128.
        transposition: As written in the part; None when none is.
        clef: First clef.
        is_percussion: All its heads are unpitched.
        compass: Lowest and highest written pitch on the MIDI scale.
        is_sung: Syllables stand under the notes.
        staves: How many staves it is written on.
        ensemble: What the score is for, a key of ``ensembles.KINDS``; empty when not known.

    Raises:
        KeyError: If there is no such kind of ensemble.

    Example:
        >>> recognise("Klarinette in B 2").instrument
        'clarinet-bflat'
        >>> recognise("Flute 2/Piccolo").doublings
        ('piccolo',)
        >>> recognise("Alto", ensemble="choir").instrument, recognise("Alto").is_sure
        ('alto', False)
    """
    page = PartPage(
        name, abbreviation, sound, midi_program, transposition, clef, is_percussion, compass, is_sung, staves
    )
    return recognise_together((page,), ensemble)[0]


def ids_named(text: str) -> tuple[str, ...]:
    """What a director can mean by a word for an instrument: an id, its name in the table, or any name of it.

    Returns:
        One id where it is clear, several where it is not, the likeliest first; none when nothing fits.

    Example:
        >>> ids_named("B♭ clarinet"), ids_named("Fliscorno"), ids_named("kazoo")
        (('clarinet-bflat',), ('flugelhorn',), ())
    """
    for instrument in INSTRUMENTS:
        if folded(text) in (folded(instrument.id), folded(instrument.name)):
            return (instrument.id,)
    found = recognise(text)
    return found.doubts or ((found.instrument,) if found.instrument else ())


@lru_cache(maxsize=4096)
def recognise_together(pages: tuple[PartPage, ...], ensemble: str = "") -> tuple[Recognition, ...]:
    """The instruments of all parts of a score, each in the light of the others.

    Args:
        pages: What each part's page says, in score order.
        ensemble: What the score is for, a key of ``ensembles.KINDS``; empty to find out from the parts.

    Raises:
        KeyError: If there is no such kind of ensemble.

    Example:
        >>> unnamed = [PartPage(name) for name in ("Soprano", "Alto", "Tenor", "Bass")]
        >>> [found.instrument for found in recognise_together(tuple(unnamed))]
        ['soprano', 'alto', 'tenor', 'bass-voice']
    """
    has_transposing = any(p.transposition is not None and p.transposition.semitones % 12 for p in pages)
    fits = [fit_of(page, has_transposing) for page in pages]
    kinds = {ensemble: KINDS[ensemble]} if ensemble else KINDS
    rows = [(prior, *_along(fits, kind)) for kind, prior in kinds.items()]
    heaviest = max((total for _, total, _ in rows), default=0.0)
    chances: list[dict[str, float]] = [{} for _ in pages]
    for prior, log_total, by_part in rows:
        weight = prior * 2.0 ** max(log_total - heaviest, -200.0)
        for summed, own in zip(chances, by_part, strict=True):
            for id_, chance in own.items():
                summed[id_] = summed.get(id_, 0.0) + weight * chance
    return tuple(
        _recognition(page, summed, has_transposing) for page, summed in zip(pages, chances, strict=True)
    )


def _recognition(page: PartPage, summed: dict[str, float], has_transposing: bool) -> Recognition:
    reading = reading_of(page)
    main, doubled = main_and_others(reading)
    whole = sum(summed.values())
    ranked = sorted(((chance / whole, id_) for id_, chance in summed.items() if id_), reverse=True)
    chance, best = _merged_kind(ranked, is_plain=not (reading.key or page.transposition or has_transposing))
    chair = reading.chairs[0] if reading.chairs else None
    is_read = bool(main) or reading.is_blank or bool(page.sound) or page.is_sung or page.is_percussion
    if chance < _GUESS or not is_read or not _may_be(best, main):
        return Recognition("", 0.0, chair, (), reading.chairs)
    doubts: tuple[str, ...] = ()
    if contradicts(get_instrument(best), page):
        chance = min(chance, _CONTRADICTED)
    if chance < DOUBT:
        rivals = [id_ for each, id_ in ranked if each >= _ASKED and id_ != best and _may_be(id_, main)]
        doubts = (best, *rivals[: _MOST_ASKED - 1])
    others = tuple(id_ for id_ in doubled if id_ != best)
    return Recognition(best, round(chance, 3), chair, doubts, reading.chairs, others)


_CONTRADICTED = 0.5
"""Most confidence in an instrument that something on the page cannot be for. House choice."""


def _may_be(id_: str, main: dict[str, float]) -> bool:
    """The name stands for it, or names nothing, or it is a singer, whose part may be named for a sound."""
    return not main or id_ in main or get_instrument(id_).family == "voice"


def _merged_kind(ranked: Sequence[tuple[float, str]], *, is_plain: bool) -> tuple[float, str]:
    """The likeliest instrument and its chance, with what need not be told apart counted together.

    Which of its keys a trumpet is in does not matter in a score that names and prints none; which singer
    sings a song does not where the page says no more than that it is sung.
    """
    chance, best = ranked[0]
    own = get_instrument(best)
    if is_plain:
        chance = sum(each for each, id_ in ranked if _is_crook(id_, best))
    singers = sum(each for each, id_ in ranked if get_instrument(id_).family == "voice")
    unsaid = sum(each for each, id_ in ranked if id_ == "voice")
    if own.family == "voice" and chance < DOUBT <= singers and unsaid >= _GENERAL:
        return singers, "voice"
    return chance, best


_GENERAL = 0.15
"""Chance of a line that is for no singer in particular from which it is taken for that. House choice."""


def _is_crook(id_: str, best: str) -> bool:
    """The same instrument in another key, in the same clef."""
    one, other = get_instrument(id_), get_instrument(best)
    return id_ == best or (one.group == other.group and one.clefs[0] == other.clefs[0] == "treble")


_ORDER = ("soprano", "mezzo-soprano", "alto", "tenor", "baritone-voice", "bass-voice")
"""Singers as a choir score lists them."""
_SAME_FAMILY = 3.0
_DOWN, _SAME, _UP = 4.0, 1.5, 0.4
"""How much likelier than chance the next part is of the same family, and the next singer is lower than, the
same as, or higher than the one above. House choices."""


_TOP = {"choir": {"soprano": 3.0}}
"""The same for the part at the top of a score, by kind of ensemble. House choice."""


def _pull(above: str, below: str) -> float:
    """How much likelier than chance one singer stands below another."""
    if above not in _ORDER or below not in _ORDER:
        return _SAME_FAMILY
    step = _ORDER.index(below) - _ORDER.index(above)
    return _DOWN if step > 0 else _SAME if step == 0 else _UP


_FAMILY = {**{i.id: i.family for i in INSTRUMENTS}, "": ""}
_SINGERS = tuple(i.id for i in INSTRUMENTS if i.family == "voice")


def _along(fits: Sequence[dict[str, float]], kind: str) -> tuple[float, list[dict[str, float]]]:
    """The parts of a score from top to bottom, were it for that kind of ensemble.

    Returns:
        The logarithm to the base 2 of how probable the score is, and each part's chances by instrument.
    """
    shares = {**{id_: (1 - _UNKNOWN) * share for id_, share in shares_in(kind).items()}, "": _UNKNOWN}
    here = [{id_: shares[id_] * fit for id_, fit in own.items()} for own in fits]
    log_total = 0.0
    forward: list[dict[str, float]] = []
    for place, own in enumerate(here):
        top = {**dict.fromkeys(own, 1.0), **_TOP.get(kind, {})}
        pulled = _pulled(forward[-1], own, downwards=True) if place else top
        reached = {id_: chance * pulled[id_] for id_, chance in own.items()}
        total = sum(reached.values())
        log_total += log2(total)
        forward.append({id_: chance / total for id_, chance in reached.items()})
    backward: list[dict[str, float]] = [dict.fromkeys(here[-1], 1.0)] if here else []
    for own, above in zip(here[:0:-1], here[-2::-1], strict=True):
        behind = {id_: chance * backward[-1][id_] for id_, chance in own.items()}
        pulled = _pulled(behind, above, downwards=False)
        total = sum(pulled.values())
        backward.append({id_: chance / total for id_, chance in pulled.items()})
    found = []
    for ahead, behind in zip(forward, reversed(backward), strict=True):
        both = {id_: ahead[id_] * behind[id_] for id_ in ahead}
        total = sum(both.values())
        found.append({id_: chance / total for id_, chance in both.items()})
    return log_total, found


def _pulled(chances: dict[str, float], wanted: Iterable[str], *, downwards: bool) -> dict[str, float]:
    """What the neighbour's chances make of this part's: for each instrument wanted the sum of the pulls."""
    by_family: dict[str, float] = {}
    for id_, chance in chances.items():
        by_family[_FAMILY[id_]] = by_family.get(_FAMILY[id_], 0.0) + chance
    total = sum(by_family.values())
    singers = [(id_, chances[id_]) for id_ in _SINGERS if id_ in chances]
    found = {}
    for id_ in wanted:
        family = _FAMILY[id_]
        if family == "voice" and singers:
            pulls = ((_pull(o, id_) if downwards else _pull(id_, o)) * chance for o, chance in singers)
            found[id_] = total - by_family[family] + sum(pulls)
        else:
            found[id_] = total + (_SAME_FAMILY - 1) * by_family.get(family, 0.0) if family else total
    return found
