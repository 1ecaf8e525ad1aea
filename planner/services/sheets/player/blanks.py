"""The sheet with blanks: what a player finds on the page, asked instead of told, each with its answer."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from planner.core.fact import FactKind
from planner.core.instruments import family_of
from planner.core.profile import PartProfile, PieceProfile
from planner.core.room_question import Ask, RoomQuestion
from planner.services.questions.ask import questions_for
from planner.services.sheets.player.going_on import places_to_come_in
from planner.services.sheets.player.hard import hard_places
from planner.services.sheets.player.head import sheet_start
from planner.services.sheets.player.key import opening_key, written_key
from planner.services.sheets.player.line import RhythmMusic
from planner.wording.blanks import (
    COUNT_OFF_ASKED,
    KEY_ASKED,
    METER_ASKED,
    REJOIN_ASKED,
    counts_answer,
    counts_asked,
    rejoin_answer,
)
from planner.wording.player_sheet import key_words
from planner.wording.questions import answer_words, question_words
from planner.wording.study.time import tap_counts
from planner.wording.words import to_singers

_OF_PIECE = (Ask.PICKUP, Ask.METER_CHANGES, Ask.ROADMAP, Ask.FERMATAS)
_OF_PART = (Ask.SIGNATURE, Ask.SIGNATURE_CHANGES, Ask.OUTSIDE_SIGNATURE, Ask.IN_SIGNATURE, Ask.REPEAT,
            Ask.LOUDEST, Ask.SOFTEST, Ask.HIGHEST_NOTE)  # fmt: skip
"""What is asked of the page, in the order of a good reader."""
MOST = 12
"""Blanks on a sheet. House choice: what one page holds with room to write."""
MOST_COUNTED = 3
"""Rhythms to write the counts under. House choice: they are drawn."""
LONGEST_ANSWER = 25
"""Words of an answer that a player can write on a line; what asks for more is left out. House choice."""


@dataclass(frozen=True, slots=True)
class Asked:
    """Something to be filled in, its answer, and the rhythm to write beneath."""

    prompt: str
    answer: str
    music: RhythmMusic | None = None


def blanks_of(profile: PieceProfile, part_index: int) -> tuple[Asked, ...]:
    """What can be asked of a part, each with the one right answer.

    Args:
        profile: The study of the piece.
        part_index: Place of the part in the score.
    """
    part = profile.parts[part_index]
    of_piece, of_part = _on_its_page(questions_for(profile), part), questions_for(profile, part_index)
    found = (
        *_meter(profile, of_piece),
        *_asked(of_piece, (Ask.GROUPING,), profile),
        *_count_off(profile),
        *_asked(of_piece, _OF_PIECE, profile),
        *_key(profile, part),
        *_asked(of_part, _OF_PART[:4], profile),
        *_rhythm(profile, part),
        *_asked(of_part, _OF_PART[4:], profile),
    )
    short = [one for one in found if len(one.answer.split()) <= LONGEST_ANSWER]
    again = tuple(_rejoin(profile, part))
    kept = (*short[: MOST - len(again)], *again)
    if family_of(part.instrument) == "voice":
        return tuple(replace(each, prompt=to_singers(each.prompt)) for each in kept)
    return kept


def _on_its_page(questions: tuple[RoomQuestion, ...], part: PartProfile) -> tuple[RoomQuestion, ...]:
    """Questions to everyone as the page of a part answers them: it shows no fermata where the part rests."""
    found = []
    for each in questions:
        if each.kind is Ask.FERMATAS:
            each = replace(each, places=tuple(place for place in each.places if part.sounds_in(place[0])))
        if each.kind is not Ask.FERMATAS or each.places:
            found.append(each)
    return tuple(found)


def _asked(
    questions: tuple[RoomQuestion, ...], kinds: tuple[Ask, ...], profile: PieceProfile
) -> Iterator[Asked]:
    """The first question of each kind."""
    for kind in kinds:
        one = next((each for each in questions if each.kind is kind), None)
        if one is not None:
            yield Asked(question_words(one, profile), answer_words(one, profile))


def _meter(profile: PieceProfile, questions: tuple[RoomQuestion, ...]) -> Iterator[Asked]:
    """The meter with its beat, or the bare signature where its beats are not even."""
    full = tuple(_asked(questions, (Ask.METER,), profile))
    first = profile.meters[0] if profile.meters else None
    if full or first is None or not first.is_printed or first.time == "free":
        yield from full
    else:
        yield Asked(METER_ASKED, first.time)


def _count_off(profile: PieceProfile) -> Iterator[Asked]:
    counted = sheet_start(profile).count_off
    if counted:
        yield Asked(COUNT_OFF_ASKED, counted)


def _key(profile: PieceProfile, part: PartProfile) -> Iterator[Asked]:
    sounding = opening_key(profile, part) if part.written_range is not None else ""
    if sounding:
        words = key_words(written_key(sounding, part), sounding, None, "")
        yield Asked(KEY_ASKED, words.partition(": ")[2])


def _rhythm(profile: PieceProfile, part: PartProfile) -> Iterator[Asked]:
    """The counts of the rhythm to tap, then of the hardest bars that can be counted."""
    facts = profile.facts_for(part.name)
    hard = {first for first, _ in hard_places(profile, part)}
    tapped = [fact for fact in facts if fact.kind is FactKind.RHYTHM_TO_TAP]
    others = [fact for fact in facts if fact.kind is FactKind.RHYTHM_TO_COUNT]
    others.sort(key=lambda fact: (fact.places[0][0] not in hard, -fact.weight))
    for fact in (*tapped, *others)[:MOST_COUNTED]:
        counts = tap_counts(fact)
        if counts:
            measure = fact.places[0][0]
            answer = counts_answer([syllable for _, syllable in counts])
            yield Asked(counts_asked(measure, profile), answer, RhythmMusic(measure, ()))


def _rejoin(profile: PieceProfile, part: PartProfile) -> Iterator[Asked]:
    landmarks = places_to_come_in(profile, part)
    if landmarks:
        yield Asked(REJOIN_ASKED, rejoin_answer(landmarks, profile))
