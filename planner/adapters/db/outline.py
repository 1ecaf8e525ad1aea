"""A study packed for the database, whole and in outline."""

import zlib
from dataclasses import replace

from planner.core.fact import FactKind
from planner.core.profile import PartProfile, PieceProfile, profile_from_json, profile_to_json
from planner.study.version import STUDY_VERSION


def pack(profile: PieceProfile) -> bytes:
    """The profile's JSON, compressed; the same profile gives the same bytes."""
    return zlib.compress(profile_to_json(profile).encode("utf-8"), 6)


def unpack(packed: bytes, study_version: int = STUDY_VERSION) -> PieceProfile:
    """What ``pack`` packed; of an older study what this program can read of it.

    Raises:
        ValueError: If it is of another profile version, or an older study of too different a shape.
    """
    return profile_from_json(zlib.decompress(packed).decode("utf-8"), is_old=study_version < STUDY_VERSION)


def outline_of(profile: PieceProfile) -> PieceProfile:
    """The profile without its long lists: what matching and planning look at.

    Of the facts those are kept that say who doubles the tune.
    """
    return replace(
        profile,
        harmony=(),
        cadences=(),
        phrases=(),
        expression=(),
        facts=tuple(fact for fact in profile.facts if fact.kind is FactKind.DOUBLES_TUNE),
        issues=(),
        fingerprint="",
        parts=tuple(_part_outline(part) for part in profile.parts),
    )


def _part_outline(part: PartProfile) -> PartProfile:
    return replace(part, spots=(), accidentals=(), dynamics=(), patterns=())
