"""Which parts of a piece have a sheet, and who reads them."""

from planner.core.ensemble import Ensemble
from planner.core.profile import PieceProfile
from planner.matching.casting import CastPart, cast_parts


def parts_with_sheets(profile: PieceProfile, ensemble: Ensemble) -> dict[int, tuple[CastPart, ...]]:
    """Places of the parts that someone reads, with who reads them; all parts when nobody fits any."""
    casting = cast_parts(profile.parts, ensemble.sections)
    readers: dict[str, list[CastPart]] = {}
    for reading in casting.readings:
        readers.setdefault(reading.part, []).append(reading)
    cast = {at: tuple(readers[part.name]) for at, part in enumerate(profile.parts) if part.name in readers}
    return cast or dict.fromkeys(range(len(profile.parts)), ())
