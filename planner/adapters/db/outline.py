"""A study packed for the database, whole and in outline."""

import zlib
from dataclasses import replace

from planner.core.profile import PartProfile, PieceProfile, profile_from_json, profile_to_json


def pack(profile: PieceProfile) -> bytes:
    """The profile's JSON, compressed; the same profile gives the same bytes."""
    return zlib.compress(profile_to_json(profile).encode("utf-8"), 6)


def unpack(packed: bytes) -> PieceProfile:
    """What ``pack`` packed.

    Raises:
        ValueError: If it is of another profile version.
    """
    return profile_from_json(zlib.decompress(packed).decode("utf-8"))


def outline_of(profile: PieceProfile) -> PieceProfile:
    """The profile without its long lists: what matching and planning look at."""
    return replace(
        profile,
        harmony=(),
        cadences=(),
        phrases=(),
        expression=(),
        statements=(),
        facts=(),
        issues=(),
        parts=tuple(_part_outline(part) for part in profile.parts),
    )


def _part_outline(part: PartProfile) -> PartProfile:
    return replace(part, spots=(), accidentals=(), dynamics=(), patterns=())
