"""How values are written on the pages."""

from collections.abc import Mapping, Sequence
from datetime import date

from flask import Flask

from planner.adapters.web.forms.find import list_address
from planner.core.ensemble import Ensemble
from planner.core.finding import SavedList
from planner.core.instruments import get_instrument
from planner.levels.readable import Verdict
from planner.services.levels.criteria import LimitVerdict
from planner.services.match.match_grid import GridCell, GridRow, WhyNot
from planner.services.plan.freshness import Known
from planner.services.plan.open_days import OpenDay, SecondReading
from planner.services.questions.for_room import room_questions
from planner.services.results.what_moved import Moved, MoveWhy, SectionMove
from planner.services.term_page.show_choices import Choice, ChoicesView, SwapChoice
from planner.services.term_page.show_proposal import ProposalView, ProposedDay
from planner.services.term_page.term_picture import SectionForecast, SlotPicture
from planner.wording import guide, issues, words
from planner.wording.director import finding, matching, plan, playability, proposal, results, term_page
from planner.wording.director.alike import alike_sentence, count_sentence
from planner.wording.director.changes import by_whom, moment, who
from planner.wording.director.on_paper import known_of, lacks_note, unknown_parts_note
from planner.wording.study import difficulty
from planner.wording.study.roadmap import spoken_roadmap


def register(app: Flask) -> None:
    """Add the filters to an application."""
    app.jinja_env.filters.update(
        key=words.key, pitch=words.pitch, minutes=minutes, day=words.short_day, longday=words.long_day,
        fulldate=words.full_date, capitalize_first=words.capital,
        instrument=instrument_name, first_tempo=guide.first_tempo_words, sheet_name=guide.sheet_name,
        reading_note=matching.reading_note, apart_notes=matching.apart_notes,
        level_heading=matching.level_heading, for_whom_note=matching.for_whom_note,
        not_scored_note=matching.not_scored_note, comfort_note=matching.comfort_note,
        comfort_notes=matching.comfort_notes, uncovered_notes=matching.uncovered_notes,
        cover_notes=matching.cover_notes, ranking_reasons=matching.ranking_reasons,
        advice_lines=playability.advice_lines, problem_title=playability.PROBLEMS.get,
        fix_note=playability.fix_note, limit_value=limit_value,
        why_not_note=why_not_note, cell_words=cell_words, skills_note=matching.skills_note,
        slot_sentence=term_page.slot_sentence, plan_button=term_page.plan_button,
        wish_words=term_page.wish_words, open_places=term_page.open_places,
        unlogged_words=term_page.unlogged_words, proof_text=plan.proof_text,
        waits_here=term_page.waits_here, left_out_words=term_page.left_out_words,
        wanted_words=wanted_words, again_words=again_words,
        share_list=share_list, share_percent=term_page.share_percent,
        alike=alike_sentence, alike_count=count_sentence,
        known_words=proposal.known_words, known_note=known_note,
        whole_gain=whole_gain, change_why=change_why, gain_words=proposal.gain_words,
        broken_rule=proposal.broken_rule, broken_days=proposal.broken_days, choice_words=choice_words,
        swap_words=swap_words,
        slot_reasons=plan.slot_reasons, measured=difficulty.measured_words, issue=issues.issue_sentence,
        known_of=known_of, lacks_note=lacks_note, unknown_parts_note=unknown_parts_note,
        pair=lambda word: (word, word), list_note=finding.list_note, list_href=list_href,
        list_address=list_address,
        room_questions=room_questions,
        roadmap=spoken_roadmap, moment=moment, who=who, by_whom=by_whom,
        share_text=results.share_text, hard_bar=results.hard_bar_text, level_move=results.level_move,
        direction=results.direction, nothing_changes=results.nothing_changes_text,
        why_moved=why_moved, fit_lines=fit_lines,
    )  # fmt: skip


def list_href(saved: SavedList) -> str:
    """Where the pieces of a list are shown: a search as it was asked, a list by hand as a filter."""
    return list_address(saved.search if saved.search is not None else {"list": str(saved.id)})


def limit_value(verdict: LimitVerdict) -> str:
    """What a limit allows."""
    return difficulty.allowed_words(verdict.limit, verdict.value)


def why_not_note(row: GridRow, why: WhyNot, ensembles: Sequence[Ensemble]) -> str:
    """Why a piece is left out of what can be planned."""
    match why:
        case WhyNot.MET:
            return known_note(row.known, ensembles) if row.known else ""
        case WhyNot.NOT_CAST:
            return matching.not_cast_note([part.part for part in row.outlook.uncovered])
        case WhyNot.IDLE:
            return matching.idle_note([cell.section.name for cell in row.cells if not cell.part])
        case WhyNot.LOST:
            return matching.lost_note([(cell.section.name, cell.share or 0.0) for cell in row.lost])
        case WhyNot.NO_LEVEL:
            return matching.NO_LEVEL_NOTE
        case WhyNot.NOT_ENTERED:
            return lacks_note(row.piece)
        case WhyNot.BANNED:
            return matching.BANNED_NOTE


def cell_words(cell: GridCell) -> str:
    """One cell of the grid, for those who point at it."""
    return matching.cell_words(cell.section.name, cell.part, cell.level, cell.share)


def share_list(forecasts: Sequence[SectionForecast]) -> str:
    """Sections of one verdict with the bars each gets right, those furthest off first."""
    is_easy = any(each.verdict is Verdict.TOO_EASY for each in forecasts)
    furthest = sorted(forecasts, key=lambda each: each.share, reverse=is_easy)
    return term_page.share_list([(each.section.name, each.share) for each in furthest])


def wanted_words(day: OpenDay) -> str:
    """What would fill a day with open places."""
    levels = (day.level_from, day.level_to)
    return term_page.wanted_words(day.slots, day.minutes, levels, day.focus)


def again_words(one: SecondReading) -> str:
    """A piece that could be read a second time on a day."""
    return term_page.again_words(one.title, one.last_on, one.minutes)


def known_note(known: Known, ensembles: Sequence[Ensemble]) -> str:
    """How somebody in the room comes to know a planned piece."""
    return proposal.known_how(known.how, matching.met_note(known.exposure, ensembles))


def whole_gain(view: ProposalView) -> str:
    """What a proposal is worth as a whole."""
    same = sum(one.change.keeps_pieces for one in view.days)
    return proposal.whole_gain(view.proposal.gain, len(view.days), view.days_ahead, view.filled, same)


def change_why(one: ProposedDay) -> str:
    """Why a day would change."""
    change = one.change
    return proposal.change_why(
        change.why, change.rule, one.culprit, change.together, is_same=change.keeps_pieces
    )


def choice_words(choice: Choice, view: ChoicesView) -> str:
    """What another piece in a place would cost."""
    return f"{_reading_words(choice.picture, view)} {proposal.gain_words(choice.saved)}"


def swap_words(swap: SwapChoice, view: ChoicesView) -> str:
    """What a swap with another day would cost."""
    goes = swap.goes
    section, share, _ = _furthest(goes, swap.aim)
    leaving = term_page.leaving_words(
        goes.piece.title, goes.slot.on, section, share, is_announced=swap.is_announced
    )
    return f"{_reading_words(swap.comes, view)} {leaving} {proposal.gain_words(swap.saved)}"


def _reading_words(then: SlotPicture, view: ChoicesView) -> str:
    now = view.now
    section, share, section_id = _furthest(then, view.aim)
    shares = {f.section.id: f.share for f in now.forecasts} if now else {}
    return term_page.reading_words(
        section,
        share,
        shares.get(section_id),
        skills=(now.slot.focus if now else "", then.slot.focus),
        featured=(now.featured if now else "", then.featured),
    )


def _furthest(then: SlotPicture, aim: float) -> tuple[str, float, int]:
    """The section furthest off the aim, what it should get right, and its id; no name where nobody reads."""
    furthest = max(then.forecasts, key=lambda each: abs(each.share - aim), default=None)
    return (furthest.section.name, furthest.share, furthest.section.id) if furthest else ("", 0.0, 0)


def minutes(seconds: float) -> str:
    """Seconds as minutes and seconds.

    Example:
        >>> minutes(75.4)
        '1:15'
    """
    return f"{int(seconds) // 60}:{int(seconds) % 60:02d}"


def instrument_name(instrument: str) -> str:
    """The English name of an instrument id, or the id when the table has none."""
    try:
        return get_instrument(instrument).name
    except KeyError:
        return instrument or "not known"


def why_moved(move: SectionMove, titles: Mapping[int, str]) -> str:
    """Why a section's level is what it is after a day."""
    return results.why_text(
        [
            results.Reading(
                titles.get(each.piece_id, "A piece"), each.share, each.expected, each.counts, each.fell_apart
            )
            for each in move.read
        ],
        None if move.why is MoveWhy.READ else move.why.value,
    )


def fit_lines(moved: Moved) -> list[str]:
    """The planned readings that suit sections otherwise now, one line for each reading and way."""
    lines: dict[tuple[date, int, Verdict], list[str]] = {}
    for each in moved.ahead:
        key = (each.slot.on, each.slot.piece_id, each.after)
        lines.setdefault(key, []).append(
            results.fit_text(each.section.name, each.share_before, each.share_after)
        )
    return [
        results.fit_line(on, moved.titles.get(piece_id, "a piece"), after, sections)
        for (on, piece_id, after), sections in lines.items()
    ]
