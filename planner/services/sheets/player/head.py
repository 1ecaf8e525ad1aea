"""What stands at the head of a player's sheet."""

from planner.core.profile import PieceProfile
from planner.services.beat.count_off import count_off, is_counted_in_groups
from planner.services.sheets.views import GuideStart
from planner.wording.guide import first_tempo, metronome
from planner.wording.player_sheet import count_off_words, second_tempo_words, tempo_feel
from planner.wording.words import bar_names, span

MOST_PASSAGES, MOST_LETTERS = 10, 80
"""Passages of a roadmap that are drawn, and letters in all that one line of boxes holds. House choice."""


def sheet_start(profile: PieceProfile) -> GuideStart:
    """The head of every sheet of a piece."""
    tempo = first_tempo(profile.tempo_bpm)
    meter = profile.meters[0] if profile.meters else None
    return GuideStart(
        count_off=count_off_words(
            count_off(profile), in_groups=meter is not None and is_counted_in_groups(meter)
        ),
        tempo=tempo,
        feel=tempo_feel(profile.tempo_bpm) if tempo else "",
        second_tempo=second_tempo_words(metronome(profile.tempo_bpm.unit, profile.tempo_bpm.reading)),
        meter=meter.time if meter else "",
        strokes=meter.grouping if meter and meter.source != "custom" else (),
        bars=str(profile.measures - len(profile.uncounted)),
        road=_road(profile),
    )


def _road(profile: PieceProfile) -> tuple[str, ...]:
    """The passages in the order in which they are played; none straight through, or where they are many."""
    order = profile.roadmap.play_order
    passages: list[list[int]] = []
    for measure in order:
        if passages and measure == passages[-1][-1] + 1:
            passages[-1].append(measure)
        else:
            passages.append([measure])
    if not 2 <= len(passages) <= MOST_PASSAGES:
        return ()
    numbers = bar_names(profile)
    found = tuple(span(numbers, each[0], each[-1]) for each in passages)
    return found if sum(map(len, found)) <= MOST_LETTERS else ()
