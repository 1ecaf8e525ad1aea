"""What can be told of a piece that exists on paper alone: what the director entered, and what follows.

No bar of it is known. Its profile holds its keys, its meters, its minutes and the names of its parts; a part
has the instrument that its name tells, no range and no count of notes. Levels are not in it: they follow from
the published grade (``levels.on_paper``).
"""

from collections.abc import Mapping
from functools import lru_cache

import numpy as np

from planner.core.difficulty import Dimension, Measured, Quantity
from planner.core.ensemble import LOWEST_LEVEL
from planner.core.instruments import get_instrument, recognise
from planner.core.piece import Piece
from planner.core.profile import (
    UNCOUNTED,
    Contribution,
    KeySpan,
    MeterSpan,
    PartProfile,
    PieceProfile,
    Roadmap,
    Tempo,
)
from planner.study.difficulty.key_dimensions import FIFTHS, FIFTHS_SHARE, KEY_POWER, SIGNATURE_CHANGES
from planner.study.difficulty.rhythm_dimensions import (
    METER_CHANGES,
    METER_POWER,
    METERS,
    OTHER_METER,
    plain_meter,
)
from planner.study.difficulty.scales import bounded, on_scale, power_mean
from planner.study.difficulty.weights import scale_of
from planner.study.tonal.decode import fifths_of
from planner.study.version import STUDY_VERSION

_LINE = "FCGDAEB"
"""Letters on the line of fifths; C is 0."""
_MOST_FIFTHS = 7


def profile_on_paper(piece: Piece, instruments: Mapping[str, str] | None = None) -> PieceProfile:
    """The profile of a piece on paper: the same fields always give the same profile.

    Args:
        piece: As the director entered it.
        instruments: By name of the part, the instrument that the director set.
    """
    parts = tuple(
        _part(name, (instruments or {}).get(name, ""), piece.keys, piece.time_signatures)
        for name in piece.parts
    )
    return PieceProfile(
        title=piece.title,
        creators=tuple(name for name in (piece.composer, piece.arranger) if name),
        measures=0,
        meters=tuple(MeterSpan(0, time, ()) for time in piece.time_signatures),
        roadmap=Roadmap(()),
        home_key=piece.keys[0] if piece.keys else "",
        keys=tuple(KeySpan(0, key) for key in piece.keys),
        harmony=(),
        tempo_bpm=Tempo(piece.tempo, "", 0),
        playing_seconds=round(60.0 * (piece.minutes or 0.0), 1),
        level=None,
        parts=parts,
        contributions=_asked("", 0, piece.keys, piece.time_signatures),
        study_version=STUDY_VERSION,
    )


@lru_cache(maxsize=8192)
def _part(name: str, instrument: str, keys: tuple[str, ...], time_signatures: tuple[str, ...]) -> PartProfile:
    """A part by its name, for the instrument that the director set, else the one that the name tells."""
    instrument = instrument or recognise(name).instrument
    if not instrument:
        return PartProfile(name, "", 0, UNCOUNTED, None, None, None)
    found = get_instrument(instrument)
    keys = keys if found.is_pitched else ()
    return PartProfile(
        name, instrument, found.transposition.semitones, UNCOUNTED, None, None, None,
        contributions=_asked(
            found.family, -fifths_of(found.transposition), keys, time_signatures
        ),
    )  # fmt: skip


def key_fifths(key: str) -> int:
    """Sharps of a key's signature, flats below 0.

    Example:
        >>> key_fifths("Bb major"), key_fifths("F# minor"), key_fifths("C major")
        (-2, 3, 0)
    """
    tonic, _, mode = key.partition(" ")
    place = _LINE.index(tonic[0]) - 1 + 7 * (tonic.count("#") - tonic.count("b"))
    return place - (3 if mode == "minor" else 0)


@lru_cache(maxsize=4096)
def _asked(
    family: str, steps: int, keys: tuple[str, ...], time_signatures: tuple[str, ...]
) -> tuple[Contribution, ...]:
    """What the keys and the meters that were entered ask of a part, in the measures of the study.

    How many bars stand in each is not known: each counts alike.

    Args:
        family: Of the instrument; empty for the piece as a whole.
        steps: Fifths from the sounding key to the one on the part's page.
        keys: As entered, the home key first.
        time_signatures: As entered, the first of the piece first.
    """
    weights, found = scale_of(family).weights, []
    if keys:
        signs = [key_fifths(key) + steps for key in keys]
        signs = [each - 12 * round(each / 12) if abs(each) > _MOST_FIFTHS else each for each in signs]
        levels = np.array([on_scale(abs(each), FIFTHS) for each in signs])
        share = FIFTHS_SHARE.get(family, 1.0)
        level = LOWEST_LEVEL + share * (power_mean(levels, KEY_POWER) - LOWEST_LEVEL)
        level = bounded(level + on_scale(len(signs) - 1, SIGNATURE_CHANGES))
        fullest = max(signs, key=abs)
        evidence = Measured(Quantity.SIGNATURE, fullest)
        found.append(Contribution(Dimension.KEY, round(level, 2), weights[Dimension.KEY], (evidence,)))
    if time_signatures:
        meters = {time: METERS.get(plain_meter(time), OTHER_METER) for time in time_signatures}
        level = power_mean(np.array(list(meters.values())), METER_POWER)
        level = bounded(level + on_scale(len(meters) - 1, METER_CHANGES))
        hardest = max(meters, key=lambda time: meters[time])
        evidence = Measured(Quantity.METER, terms=(hardest,))
        found.append(Contribution(Dimension.METER, round(level, 2), weights[Dimension.METER], (evidence,)))
    return tuple(found)
