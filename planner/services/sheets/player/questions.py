"""Two questions that a player answers from the page: what would trip the reader, unless the sheet says it."""

import re
from collections.abc import Iterator, Sequence

from planner.core.fact import FactKind, Place
from planner.core.profile import PieceProfile
from planner.core.room_question import Ask, RoomQuestion
from planner.services.questions.ask import questions_for
from planner.services.sheets.player.choose import word_count
from planner.services.sheets.player.dynamics import has_dynamics_line
from planner.services.sheets.player.line import Line
from planner.services.sheets.player.sheet import sheet_lines
from planner.wording.questions import answer_words, question_words
from planner.wording.words import bar_names, bar_number

MOST = 2
"""Questions on a sheet. Source: house choice: half a minute of the study time."""
MOST_WORDS = 22
"""Words of both together, so that a full sheet keeps within its limit. Source: ``choose``: house choice."""
_ORDER: Sequence[Ask] = (
    Ask.COUNTS, Ask.LONG_REST, Ask.ENTERS_ON, Ask.ON_BEATS, Ask.CLEF_CHANGES, Ask.STILL_ALTERED,
    Ask.BEGIN_TIED, Ask.REPEAT, Ask.OUTSIDE_SIGNATURE, Ask.WIDEST_LEAP, Ask.SUDDEN, Ask.TELLS_KEY,
    Ask.HELD_FOR, Ask.ACCENTED_BEAT, Ask.SPELLING, Ask.LOUDEST, Ask.SOFTEST, Ask.WORD,
    Ask.HIGHEST_NOTE, Ask.ARTICULATION, Ask.SHORTEST_VALUE,
)  # fmt: skip
"""What is asked first: what a player gets lost by, what is then played wrong, the rest. Others every sheet
answers in its own words; in which notes a figure begins that comes several times (``Ask.SEQUENCE``) no page
shows. Source: house choice."""
_COUNTING = frozenset({Ask.COUNTS, Ask.LONG_REST, Ask.ENTERS_ON, Ask.ON_BEATS, Ask.BEGIN_TIED, Ask.HELD_FOR})
"""Of these a sheet asks one, where there is anything else to ask: to count, and to look."""

_ON_DYNAMICS_LINE = frozenset({Ask.LOUDEST, Ask.SOFTEST, Ask.SUDDEN})
_OF_NOTES = frozenset({Ask.OUTSIDE_SIGNATURE, Ask.TELLS_KEY, Ask.HIGHEST_NOTE})
_WORDED = frozenset({FactKind.CHANGES, FactKind.DIVIDED, FactKind.PLAYERS})
"""Facts whose lines say what words on the page ask for."""
_NAMES_NOTES = frozenset({FactKind.OUTSIDE_SIGNATURE, FactKind.KEY_ACCIDENTALS, FactKind.HIGHEST_NOTE})
"""Questions after notes with their bars, and the facts of lines that name them."""


def questions_of_part(profile: PieceProfile, part: int) -> tuple[RoomQuestion, ...]:
    """What every version of a part's sheet asks, and the director's sheet answers."""
    return sheet_questions(profile, part, sheet_lines(profile, profile.parts[part]))


def sheet_questions(profile: PieceProfile, part: int, lines: Sequence[Line]) -> tuple[RoomQuestion, ...]:
    """The questions for a part, none of which its lines answer.

    Neighbors in the score are not asked the same two where there are others: every other part gives way to
    the parts above and below it.

    Args:
        profile: The study of the piece.
        part: Place of the part in the score.
        lines: What its sheet says.
    """
    found = list(_open_ones(profile, part, lines))
    if part % 2 == 0:
        return _pair(found, profile)
    taken = {_asked_of(profile, near) for near in (part - 1, part + 1) if near < len(profile.parts)}
    pairs = (
        _pair([each for each in found if each is not left_out], profile)
        for left_out in (None, *_pair(found, profile))
    )
    free = (pair for pair in pairs if len(pair) == MOST and _texts(pair, profile) not in taken)
    return next(free, _pair(found, profile))


def _asked_of(profile: PieceProfile, part: int) -> frozenset[str]:
    """What a part is asked that gives way to none."""
    lines = sheet_lines(profile, profile.parts[part])
    return _texts(_pair(list(_open_ones(profile, part, lines)), profile), profile)


def _texts(pair: Sequence[RoomQuestion], profile: PieceProfile) -> frozenset[str]:
    return frozenset(question_words(each, profile) for each in pair)


def _pair(found: Sequence[RoomQuestion], profile: PieceProfile) -> tuple[RoomQuestion, ...]:
    """The first question, and the next that asks for something else."""
    first = found[:1]
    is_counted = bool(first) and first[0].kind in _COUNTING
    left = MOST_WORDS - (_words(first[0], profile) if first else 0)
    others = [each for each in found[1:] if _words(each, profile) <= left]
    unlike = [
        each
        for each in others
        if each.kind is not first[0].kind and not (is_counted and each.kind in _COUNTING)
    ]
    return (*first, *(unlike or others)[: MOST - 1])


def _words(question: RoomQuestion, profile: PieceProfile) -> int:
    return word_count(question_words(question, profile))


def _spoken_of(line: Line, profile: PieceProfile) -> Iterator[Place]:
    """The places of its facts that a line names: of many it may name some."""
    numbers, names = set(re.findall(r"\w+", line.text)), bar_names(profile)
    for fact in line.facts:
        for place in fact.places:
            if len(fact.places) == 1 or bar_number(names, place[0]) in numbers:
                yield place


def _open_ones(profile: PieceProfile, part: int, lines: Sequence[Line]) -> Iterator[RoomQuestion]:
    """What the lines of a sheet do not answer, in the order in which it is asked."""
    spoken = {fact for line in lines for fact in line.facts}
    places = {place for line in lines for place in _spoken_of(line, profile)}
    named = {note for fact in spoken if fact.kind in _NAMES_NOTES for note in fact.notes}
    worded = [place for fact in spoken if fact.kind in _WORDED for place in fact.places]
    texts = " ".join(line.text for line in lines)
    asked = questions_for(profile, part)
    is_drawn = has_dynamics_line(profile.parts[part])
    for kind in _ORDER:
        if is_drawn and kind in _ON_DYNAMICS_LINE:
            continue
        for question in (each for each in asked if each.kind is kind):
            is_open = not (set(question.asked) & places)
            is_open &= kind is not Ask.TELLS_KEY or _is_sure(question, profile)
            is_answered = answer_words(question, profile).rstrip(".") in texts
            is_answered |= kind is Ask.WORD and _is_among(question.asked, worded)
            is_answered |= kind in _OF_NOTES and set(question.notes) <= named
            if is_open and not is_answered:
                yield question


def _is_sure(question: RoomQuestion, profile: PieceProfile) -> bool:
    """Whether the key that a question names is beyond doubt in the bars of its answer."""
    return any(
        each.key == question.keys[-1] and each.measure <= first and last <= each.end_measure
        for each in profile.sure_keys
        for first, last in question.places
    )


def _is_among(asked: Sequence[Place], places: Sequence[Place]) -> bool:
    """Whether what is asked of begins inside one of some places."""
    return any(first <= at <= last for at, _ in asked for first, last in places)
