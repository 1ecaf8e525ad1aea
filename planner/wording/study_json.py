"""The study as other programs read it: the stored facts, and beside them the sentences that say them."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from planner.core.glossary.meaning import meaning
from planner.core.profile import (
    PROFILE_FORMAT,
    PROFILE_VERSION,
    Contribution,
    PartProfile,
    PieceProfile,
    Spot,
    profile_to_dict,
)
from planner.wording.issues import issue_sentence
from planner.wording.study.accidentals import spelling_trap
from planner.wording.study.difficulty import measured_words
from planner.wording.study.fit import excerpt_reason
from planner.wording.study.patterns import pattern_sentence
from planner.wording.study.roadmap import spoken_roadmap
from planner.wording.study.sentences import statements_of
from planner.wording.study.spots import spot_words
from planner.wording.study.time import tempo_source
from planner.wording.words import bar_names, signature


def studies_to_dict(profiles: Sequence[PieceProfile]) -> dict[str, Any]:
    """The studies of the pieces of a file: of one its study, of several a list of them under ``pieces``.

    The envelope of several has ``format`` and ``version`` as a single study has, and no other field of one:
    a program tells the two apart by ``pieces``.
    """
    if len(profiles) == 1:
        return study_to_dict(profiles[0])
    pieces = [study_to_dict(profile) for profile in profiles]
    return {"format": PROFILE_FORMAT, "version": PROFILE_VERSION, "pieces": pieces}


def study_to_dict(profile: PieceProfile) -> dict[str, Any]:
    """A study in the form of ``planner inspect --format json``: ``format`` and ``version`` first.

    The sentences (``statements``, ``why``, ``sentence``) are made here, from the facts.
    """
    data = profile_to_dict(profile)
    data["roadmap"]["spoken"] = spoken_roadmap(profile)
    data["tempo_bpm"]["source"] = tempo_source(profile.tempo_bpm)
    for excerpt, fields in zip(profile.excerpts, data["excerpts"], strict=True):
        fields["why"] = excerpt_reason(excerpt)
    data["statements"] = [asdict(each) for each in statements_of(profile)]
    data["issues"] = [
        asdict(each) | {"sentence": issue_sentence(each, bar_names(profile))} for each in profile.issues
    ]
    data["contributions"] = [_contribution(each) for each in profile.contributions]
    for found, fields in zip(profile.expression, data["expression"], strict=True):
        fields["meaning"] = meaning(found.terms)
    for part, fields in zip(profile.parts, data["parts"], strict=True):
        _add_words(fields, part, profile)
    return data


def _add_words(fields: dict[str, Any], part: PartProfile, profile: PieceProfile) -> None:
    """The words of version 1 beside the values of one part."""
    numbers = bar_names(profile)
    for span, values in zip(part.keys, fields["keys"], strict=True):
        values["relation"] = signature(span.fifths)
    for use, values in zip(part.accidentals, fields["accidentals"], strict=True):
        values["why"] = spelling_trap(use)
    for pattern, values in zip(part.patterns, fields["patterns"], strict=True):
        values["why"] = pattern_sentence(pattern, numbers)
    fields["contributions"] = [_contribution(each) for each in part.contributions]
    fields["spots"] = [_spot(each, profile) for each in part.spots]


def _contribution(contribution: Contribution) -> dict[str, Any]:
    return asdict(contribution) | {"why": measured_words(contribution.evidence)}


def _spot(spot: Spot, profile: PieceProfile) -> dict[str, Any]:
    words = {"reasons": [kind.value for kind in spot.kinds], "why": spot_words(spot, bar_names(profile))}
    return asdict(spot) | words
