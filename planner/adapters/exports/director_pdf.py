"""The director's sheet as a printed page, two at most."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, BinaryIO

from reportlab.lib.colors import Color
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Table

from planner.adapters.exports.base import write_export
from planner.adapters.exports.lettering.fonts import SANS, SERIF, font_name, register_fonts
from planner.adapters.exports.lettering.lines import text_width
from planner.adapters.exports.lettering.words import Words
from planner.adapters.exports.map_drawing import MapDrawing
from planner.adapters.exports.page import (
    HAIRLINE,
    INK,
    SOFT,
    TINT,
    Paper,
    bookmark,
    draw_foot,
    draw_text,
    fitted,
    headline,
    height_of,
    new_canvas,
    paper_named,
    paragraph,
    rule,
    shortened,
    style,
)
from planner.services.sheets.director.views import (
    AnswerLine,
    CueLine,
    DirectorSheet,
    PlaceLine,
    ScriptStep,
    SectionLine,
)
from planner.wording.director.sheet import (
    HEADINGS,
    SECTION_COLUMNS,
    SHARE_NOTE,
    SHEET_TITLE,
    more_answers,
    more_sections,
)
from planner.wording.words import full_day, made_words

_MOST_PAGES = 2
_HEAD = 92.0
_NEXT_HEAD = 24.0
_NOTE_LINE, _LEAST_NOTES = 21.0, 3
"""Height of a line to write on, and how many there are at least."""
_NOTES = _LEAST_NOTES * _NOTE_LINE + 18
_LEAST_SIZE = 7.0


@dataclass(frozen=True, slots=True)
class _Layout:
    """Text size, whether names are cut to one line, how many sections and answers are given (None: all)."""

    size: float
    is_tight: bool = False
    sections: int | None = None
    answers: int | None = None


_STAGES = (
    tuple(_Layout(size) for size in (9.5, 9.0, 8.5, 8.0, 7.5, _LEAST_SIZE)),
    (_Layout(_LEAST_SIZE, is_tight=True),),
    *((_Layout(_LEAST_SIZE, is_tight=True, sections=most),) for most in range(48, 4, -2)),
    *((_Layout(_LEAST_SIZE, is_tight=True, sections=6, answers=most),) for most in (60, 40, 20, 0)),
)
"""What is tried in turn: smaller letters, names on one line, fewer sections, fewer answers. House choices."""
_LAYOUTS = tuple(layout for stage in _STAGES for layout in stage)
_GOOD_SIZE = 8.5
"""Letters that read well on a stand; no other arrangement is tried then. House choice."""


@dataclass(frozen=True, slots=True)
class _Block:
    """Something that stays on one page; ``head`` stands above it where it begins a page."""

    body: Flowable
    head: Flowable | None = None


class DirectorPdf:
    """Fulfils ``ports.writers.DirectorWriter``: PDF, the same bytes for the same sheet."""

    suffix = ".pdf"

    def __init__(self, paper: str = "a4") -> None:
        register_fonts()
        self._paper = paper_named(paper)

    def write(self, sheet: DirectorSheet, path: Path) -> Path:
        """Print the sheet."""

        def writer(out: BinaryIO) -> None:
            canvas = new_canvas(
                out, self._paper, title=f"{sheet.title}: {SHEET_TITLE.lower()}", author=sheet.ensemble
            )
            draw_director_sheet(canvas, self._paper, sheet, director_pages(sheet, self._paper))
            canvas.save()

        return write_export(path, writer)


def draw_director_sheet(
    canvas: Canvas, paper: Paper, sheet: DirectorSheet, pages: Sequence[Sequence[Flowable]]
) -> None:
    """Draw the pages of a director's sheet, each on a page of its own, with its bookmark."""
    for number, blocks in enumerate(pages, start=1):
        if number == 1:
            bookmark(canvas, f"{SHEET_TITLE}: {sheet.title}", place=f"director-{sheet.position}")
        y = _draw_head(canvas, paper, sheet) if number == 1 else _draw_short_head(canvas, paper, sheet)
        for block in blocks:
            y -= height_of(block, paper)
            block.drawOn(canvas, paper.margin, y)
        if y - paper.foot >= _NOTES:
            _draw_notes(canvas, paper, y)
        made = made_words(sheet.made_on, sheet.library_version)
        draw_foot(canvas, paper, f"{sheet.ensemble}  ·  {made}", f"page {number} of {len(pages)}")
        canvas.showPage()


def director_pages(sheet: DirectorSheet, paper: Paper) -> list[list[Flowable]]:
    """The blocks page by page: on one where that reads well, else on two, each with what belongs together.

    Names are cut, and sections left out, only where nothing else brings it to two pages.
    """
    fitting = _Fitting(sheet, paper)
    single = fitting.single_page()
    if single:
        return [single]
    for stage in _STAGES:
        pages = fitting.two_pages(stage) or fitting.run_over(stage)
        if pages:
            return pages
    return fitting.broken(_LAYOUTS[-1])


class _Fitting:
    """Finds the layout in which a sheet fits its pages."""

    def __init__(self, sheet: DirectorSheet, paper: Paper) -> None:
        self._sheet, self._paper = sheet, paper
        self._first = paper.height - paper.margin - paper.foot - _HEAD - _title_more(sheet, paper)
        self._second = paper.height - paper.margin - paper.foot - _NEXT_HEAD
        self._laid: dict[tuple[_Group, _Layout], _Tried] = {}

    def single_page(self) -> list[Flowable]:
        """All blocks with room for notes, in the largest size that reads well; none where it is too much."""
        groups = [group for page in _ARRANGEMENTS[0] for group in page]
        for layout in _LAYOUTS:
            if layout.size >= _GOOD_SIZE and self._height(groups, layout) + _NOTES <= self._first:
                return self._bodies(groups, layout)
        return []

    def two_pages(self, stage: Sequence[_Layout]) -> list[list[Flowable]]:
        """The better readable arrangement, each page in the largest layout of a stage that fits it."""
        found: list[tuple[tuple[Sequence[_Group], _Layout], ...]] = []
        for arrangement in _ARRANGEMENTS:
            rooms = (self._first, self._second - _NOTES)
            largest = [
                self._largest(groups, room, stage) for groups, room in zip(arrangement, rooms, strict=True)
            ]
            layouts = [layout for layout in largest if layout is not None]
            if len(layouts) == len(arrangement):
                found.append(tuple(zip(arrangement, layouts, strict=True)))
            if found and min(layout.size for _, layout in found[-1]) >= _GOOD_SIZE:
                break
        if not found:
            return []
        best = max(found, key=lambda pages: min(layout.size for _, layout in pages))
        return [self._bodies(groups, layout) for groups, layout in best]

    def run_over(self, stage: Sequence[_Layout]) -> list[list[Flowable]]:
        """All blocks one after the other, in the largest layout that needs two pages at most; else none."""
        each = (self.broken(layout) for layout in stage)
        return next((pages for pages in each if len(pages) <= _MOST_PAGES), [])

    def broken(self, layout: _Layout) -> list[list[Flowable]]:
        """All blocks one after the other, on as many pages as they need."""
        groups = [group for page in _ARRANGEMENTS[0] for group in page]
        blocks = [block for group in groups for block in self._tried(group, layout).blocks]
        return _broken(blocks, self._first, self._second, self._paper)

    def _largest(self, groups: Sequence["_Group"], room: float, stage: Sequence[_Layout]) -> _Layout | None:
        return next((layout for layout in stage if self._height(groups, layout) <= room), None)

    def _height(self, groups: Sequence["_Group"], layout: _Layout) -> float:
        return sum(self._tried(group, layout).height for group in groups)

    def _bodies(self, groups: Sequence["_Group"], layout: _Layout) -> list[Flowable]:
        return [block.body for group in groups for block in self._tried(group, layout).blocks]

    def _tried(self, group: "_Group", layout: _Layout) -> "_Tried":
        if (group, layout) not in self._laid:
            blocks = group(self._sheet, self._paper, layout)
            height = sum(height_of(block.body, self._paper) for block in blocks)
            self._laid[group, layout] = _Tried(tuple(blocks), height)
        return self._laid[group, layout]


@dataclass(frozen=True, slots=True)
class _Tried:
    """Blocks in one layout, with their height."""

    blocks: tuple[_Block, ...]
    height: float


def _broken(blocks: Sequence[_Block], first: float, second: float, paper: Paper) -> list[list[Flowable]]:
    """The blocks one after the other, with notes at the end."""
    pages: list[list[Flowable]] = [[]]
    room = first
    for block in blocks:
        height = height_of(block.body, paper)
        if height > room and pages[-1]:
            pages.append([])
            room = second
            if block.head is not None:
                pages[-1].append(block.head)
                room -= height_of(block.head, paper)
        pages[-1].append(block.body)
        room -= height
    if room < _NOTES:
        pages.append([])
    return pages


def _title(sheet: DirectorSheet, paper: Paper) -> tuple[tuple[str, ...], float]:
    return headline(sheet.title, font_name(SERIF, bold=True), 20, paper.text_width, least=14)


def _title_more(sheet: DirectorSheet, paper: Paper) -> float:
    """What a title on two lines takes more than one on one."""
    lines, size = _title(sheet, paper)
    return 1.2 * size * (len(lines) - 1)


def _draw_head(canvas: Canvas, paper: Paper, sheet: DirectorSheet) -> float:
    """The head of the first page; where its body begins."""
    left, y = paper.margin, paper.height - paper.margin
    right, small, bold = paper.width - paper.margin, font_name(SANS), font_name(SERIF, bold=True)
    draw_text(canvas, right, y - 8, full_day(sheet.on), small, 9, color=SOFT, anchor="right")
    draw_text(canvas, left, y - 10, SHEET_TITLE, bold, 14)
    rule(canvas, left, y - 17, paper.text_width, thick=1.6)
    rule(canvas, left, y - 20, paper.text_width, thick=0.4)
    lines, size = _title(sheet, paper)
    for line in lines:
        draw_text(canvas, left, y - 41, line, bold, size)
        y -= 1.2 * size
    y += 1.2 * size
    about = "  ·  ".join(text for text in (sheet.credit, sheet.ensemble) if text)
    italic = font_name(SERIF, italic=True)
    about, size = fitted(about, italic, 10, paper.text_width, least=8)
    draw_text(canvas, left, y - 55, about, italic, size, color=SOFT)
    _draw_facts(canvas, paper, sheet.facts, y - 78)
    return y - _HEAD


def _draw_facts(canvas: Canvas, paper: Paper, facts: Sequence[tuple[str, str]], y: float) -> None:
    canvas.setFillColor(TINT)
    canvas.rect(paper.margin, y - 5, paper.text_width, 19, stroke=0, fill=1)
    size = 9.5
    while size > 7 and _facts_width(facts, size) > paper.text_width - 12:
        size -= 0.25
    while facts and _facts_width(facts, size) > paper.text_width - 12:
        facts = facts[:-1]
    label, value = font_name(SANS), font_name(SANS, bold=True)
    x = paper.margin + 6
    for name, text in facts:
        draw_text(canvas, x, y + 1.5, name, label, size * 0.88, color=SOFT)
        x += text_width(name, label, size * 0.88) + size * 0.5
        draw_text(canvas, x, y + 1.5, text, value, size)
        x += text_width(text, value, size) + size * 1.7


def _facts_width(facts: Sequence[tuple[str, str]], size: float) -> float:
    label, value = font_name(SANS), font_name(SANS, bold=True)
    words = sum(text_width(n, label, size * 0.88) + text_width(t, value, size) for n, t in facts)
    return words + size * (2.2 * len(facts) - 1.7)


def _draw_short_head(canvas: Canvas, paper: Paper, sheet: DirectorSheet) -> float:
    """The head of the second page; where its body begins."""
    y, bold = paper.height - paper.margin, font_name(SERIF, bold=True)
    draw_text(canvas, paper.margin, y - 9, SHEET_TITLE, bold, 11)
    italic = font_name(SERIF, italic=True)
    title = f"{shortened(sheet.title, italic, 10, paper.text_width * 0.58)} (continued)"
    draw_text(canvas, paper.width - paper.margin, y - 9, title, italic, 10, color=SOFT, anchor="right")
    rule(canvas, paper.margin, y - 16, paper.text_width, thick=0.8)
    return y - _NEXT_HEAD


def _draw_notes(canvas: Canvas, paper: Paper, y: float) -> None:
    """Lines to write on, from here down to the foot."""
    bottom = paper.foot + 4
    draw_text(canvas, paper.margin, y - 12, HEADINGS["notes"], font_name(SANS, bold=True), 7.5, color=SOFT)
    y -= 14
    while y - _NOTE_LINE >= bottom:
        y -= _NOTE_LINE
        rule(canvas, paper.margin, y, paper.text_width, thick=0.3, color=HAIRLINE)


def _front(sheet: DirectorSheet, paper: Paper, layout: _Layout) -> list[_Block]:
    """Roadmap, tempos and map."""
    blocks = [_Block(_labelled(HEADINGS["roadmap"], [sheet.roadmap], paper, layout, is_strong=True))]
    blocks.append(_Block(_labelled(HEADINGS["tempos"], [" ".join(sheet.tempos)], paper, layout)))
    if sheet.featured:
        blocks.append(_Block(_labelled(HEADINGS["featured"], [sheet.featured], paper, layout)))
    drawing = _stacked([_heading(HEADINGS["map"], paper, layout), MapDrawing(sheet.map)], paper)
    return [*blocks, _Block(drawing)]


def _script(sheet: DirectorSheet, paper: Paper, layout: _Layout) -> list[_Block]:
    heading = _heading(HEADINGS["script"], paper, layout)
    return _with_heading(heading, [_step(step, paper, layout) for step in sheet.script], paper)


def _together(sheet: DirectorSheet, paper: Paper, layout: _Layout) -> list[_Block]:
    """Places for the ensemble, and who enters where."""
    blocks: list[_Block] = []
    if sheet.places:
        heading = _heading(HEADINGS["places"], paper, layout)
        blocks += _with_heading(heading, [_place(each, paper, layout) for each in sheet.places], paper)
    if sheet.cues:
        blocks.append(_Block(_cues(sheet.cues, paper, layout)))
    return blocks


def _readers(sheet: DirectorSheet, paper: Paper, layout: _Layout) -> list[_Block]:
    """The sections, who needs help, what is right on their sheets, and what to take care of."""
    blocks = _sections(sheet.sections, paper, layout)
    if sheet.help:
        blocks.append(_Block(_labelled(HEADINGS["help"], sheet.help, paper, layout)))
    if sheet.answers:
        blocks += _answers(sheet.answers, paper, layout)
    blocks.append(_Block(_caution(sheet.caution, paper, layout)))
    return blocks


def _answers(answers: Sequence[AnswerLine], paper: Paper, layout: _Layout) -> list[_Block]:
    """Questions with their answers, two of about the same height beside each other; a long one alone."""
    half = (paper.text_width - 10) / 2
    cells, rows = [], list[Flowable]()
    for each in answers[: layout.answers]:
        cell = _answer(each, half, layout)
        height = sum(words.wrap(half - 15, paper.height)[1] for words in cell)
        if height > _LONG_ANSWER * layout.size:
            rows.append(_table([[_answer(each, paper.text_width, layout)]], [paper.text_width]))
        else:
            cells.append((height, cell))
    cells.sort(key=lambda each: -each[0])
    for at in range(0, len(cells), 2):
        pair = [cell for _, cell in cells[at : at + 2]]
        rows.append(_table([[*pair, *[""] * (2 - len(pair))]], [half + 10, half], _TIGHT))
    left = len(answers) - len(answers[: layout.answers])
    if left:
        small = style(font_name(SANS), _LEAST_SIZE, leading=1.15, color=SOFT)
        rows.append(_table([[paragraph(more_answers(left), small)]], [paper.text_width]))
    return _with_heading(_heading(HEADINGS["answers"], paper, layout), rows, paper)


_LONG_ANSWER = 8
"""Height, in letters, from which an answer takes the whole width. House choice."""


def _answer(line: AnswerLine, width: float, layout: _Layout) -> list[Flowable]:
    plain = replace(layout, is_tight=False)
    return [
        _cell(line.question, font_name(SERIF, italic=True), width, plain),
        _cell(line.answer, font_name(SERIF), width, plain),
    ]


_TIGHT = (("RIGHTPADDING", (0, 0), (0, 0), 15), ("TOPPADDING", (0, 0), (-1, -1), 1))


_Group = Callable[[DirectorSheet, Paper, _Layout], list[_Block]]
_ARRANGEMENTS: tuple[tuple[tuple[_Group, ...], tuple[_Group, ...]], ...] = (
    ((_front, _script), (_together, _readers)),
    ((_front, _together), (_script, _readers)),
    ((_front, _script, _together), (_readers,)),
)
"""What belongs on the first page and on the second."""


def _with_heading(heading: Flowable, rows: Sequence[Flowable], paper: Paper) -> list[_Block]:
    """Rows under a heading, which never stands alone at the foot of a page."""
    first = _stacked([heading, *rows[:1]], paper)
    return [_Block(first), *(_Block(row) for row in rows[1:])]


def _stacked(blocks: Sequence[Flowable], paper: Paper) -> Table:
    return _table([[[block]] for block in blocks], [paper.text_width], _BARE)


_BARE = tuple((f"{side}PADDING", (0, 0), (-1, -1), 0) for side in ("LEFT", "RIGHT", "TOP", "BOTTOM"))


def _table(cells: list[list[Any]], widths: Sequence[float], more: Sequence[Any] = ()) -> Table:
    table = Table(cells, colWidths=list(widths))
    table.setStyle([
        ("FONTNAME", (0, 0), (-1, -1), font_name(SANS)), ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0), ("RIGHTPADDING", (0, 0), (-1, -1), 5),
        ("TOPPADDING", (0, 0), (-1, -1), 1.5), ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
        *more,
    ])  # fmt: skip
    return table


def _heading(text: str, paper: Paper, layout: _Layout) -> Table:
    look = style(font_name(SANS, bold=True), layout.size * 0.88, leading=1.2, color=SOFT)
    return _table(
        [[paragraph(text, look)]],
        [paper.text_width],
        [("LINEABOVE", (0, 0), (-1, 0), 0.8, SOFT), ("TOPPADDING", (0, 0), (-1, -1), 3)],
    )


def _labelled(
    label: str, sentences: Sequence[str], paper: Paper, layout: _Layout, *, is_strong: bool = False
) -> Table:
    """A heading at the left, sentences beside it."""
    size = layout.size * (1.1 if is_strong else 1.0)
    heading = style(font_name(SANS, bold=True), layout.size * 0.88, leading=1.42, color=SOFT)
    body = style(font_name(SERIF, bold=is_strong), size, leading=1.25)
    return _table(
        [[paragraph(label, heading), [paragraph(each, body) for each in sentences]]],
        [_LABEL, paper.text_width - _LABEL],
        [("LINEABOVE", (0, 0), (-1, 0), 0.4, HAIRLINE), ("BOTTOMPADDING", (0, 0), (-1, -1), 3)],
    )


_LABEL = 96.0


def _cell(
    text: str, face: str, room: float, layout: _Layout, color: Color = INK
) -> Words:  # fmt: skip
    """Words in a cell; cut to one line in a tight layout."""
    size = layout.size
    words = shortened(text, face, size, room - 5) if layout.is_tight else text
    return paragraph(words, style(face, size, leading=1.22, color=color))


def _step(step: ScriptStep, paper: Paper, layout: _Layout) -> Table:
    widths = [34.0, 92.0, paper.text_width - 126.0]
    words = [_cell(step.ask, font_name(SERIF, italic=True), 2 * widths[2], replace(layout, is_tight=False))]
    if step.answer:
        words.append(_cell(step.answer, font_name(SERIF), 2 * widths[2], replace(layout, is_tight=False)))
    cells = [
        _cell(step.at, font_name(SANS), widths[0], layout, SOFT),
        _cell(step.name, font_name(SANS, bold=True), widths[1], layout),
        words,
    ]
    more = [("LINEABOVE", (0, 0), (-1, 0), 0.6 if step.begins else 0.25, INK if step.begins else HAIRLINE)]
    return _table([cells], widths, more)


def _place(place: PlaceLine, paper: Paper, layout: _Layout) -> Table:
    widths = [120.0, paper.text_width - 120.0]
    cells = [
        _cell(place.where, font_name(SANS, bold=True), widths[0], replace(layout, is_tight=False)),
        [
            _cell(place.why, font_name(SERIF), widths[1], replace(layout, is_tight=False)),
            _cell(place.how, font_name(SERIF, italic=True), widths[1], layout),
        ],
    ]
    return _table([cells], widths, [("LINEABOVE", (0, 0), (-1, 0), 0.25, HAIRLINE)])


def _cues(cues: Sequence[CueLine], paper: Paper, layout: _Layout) -> Table:
    """The entrances in two columns, each bar before who enters there."""
    half = (paper.text_width - 10) / 2
    bold = font_name(SANS, bold=True)
    bar = min(max(text_width(cue.bar, bold, layout.size) for cue in cues) + 10, half * 0.45)
    rows = [_cue(cue, (bar, half - bar), layout) for cue in cues]
    middle = (len(rows) + 1) // 2
    columns = _table(
        [[rows[:middle], rows[middle:]]],
        [half + 10, half],
        [("RIGHTPADDING", (0, 0), (0, 0), 10), ("RIGHTPADDING", (1, 0), (1, 0), 0)],
    )
    return _stacked([_heading(HEADINGS["cues"], paper, layout), columns], paper)


def _cue(cue: CueLine, widths: tuple[float, float], layout: _Layout) -> Table:
    plain = replace(layout, is_tight=False)
    cells = [
        _cell(cue.bar, font_name(SANS, bold=True), widths[0], plain),
        _cell(cue.text, font_name(SERIF), widths[1], plain),
    ]
    return _table([cells], widths, [("TOPPADDING", (0, 0), (-1, -1), 0.5)])


_LEAST_ROWS = 3
"""Rows of the table that stay with its head."""
_SECTION_SHARES = (0.215, 0.085, 0.125, 0.16, 0.415)


def _sections(sections: Sequence[SectionLine], paper: Paper, layout: _Layout) -> list[_Block]:
    """A row a section, the head of the table again at the top of a page."""
    shown = sections[: layout.sections]
    if not shown:
        return []
    widths = [share * paper.text_width for share in _SECTION_SHARES]
    small = style(font_name(SANS), max(_LEAST_SIZE, layout.size * 0.8), leading=1.15, color=SOFT)
    has_forecast = any(section.share for section in shown)
    heads = [text if has_forecast or at in (0, 4) else "" for at, text in enumerate(SECTION_COLUMNS)]
    head = _table(
        [[paragraph(text, small) for text in heads]],
        widths,
        [("LINEABOVE", (0, 0), (-1, 0), 0.8, SOFT), ("TOPPADDING", (0, 0), (-1, -1), 3)],
    )
    rows = [_section(section, widths, layout) for section in shown]
    most = _LEAST_ROWS
    blocks = [_Block(_stacked([head, *rows[:most]], paper)), *(_Block(row, head) for row in rows[most:])]
    notes = [SHARE_NOTE] if has_forecast else []
    if len(shown) < len(sections):
        notes.insert(0, more_sections(len(sections) - len(shown)))
    if notes:
        blocks.append(_Block(_table([[paragraph(" ".join(notes), small)]], [paper.text_width])))
    return blocks


def _section(section: SectionLine, widths: Sequence[float], layout: _Layout) -> Table:
    bold, serif = font_name(SANS, bold=True), font_name(SERIF)
    italic = font_name(SERIF, italic=True)
    name = [_cell(section.name, bold, widths[0], layout)]
    if section.part:
        name.append(_cell(f"reads {section.part}", italic, widths[0], layout, SOFT))
    plain = replace(layout, is_tight=False)
    share = f"{section.share} ({section.span})" if section.share else ""
    cells = [
        name,
        _cell(section.levels, font_name(SANS), widths[1], layout),
        _cell(share, font_name(SANS), widths[2], layout),
        _cell(section.verdict, italic, widths[3], layout),
        _cell(section.brief if layout.is_tight else section.find, serif, widths[4], plain),
    ]
    more: list[Any] = [("LINEABOVE", (0, 0), (-1, 0), 0.25, HAIRLINE)]
    return _table([cells], widths, [*more, *(_CLOSE if layout.is_tight else ())])


_CLOSE = (("TOPPADDING", (0, 0), (-1, -1), 0.6), ("BOTTOMPADDING", (0, 0), (-1, -1), 0.9))


def _caution(caution: str, paper: Paper, layout: _Layout) -> Table:
    look = style(font_name(SERIF, italic=True), max(_LEAST_SIZE, layout.size * 0.82), leading=1.2, color=SOFT)
    return _table(
        [[paragraph(caution, look)]], [paper.text_width], [("LINEABOVE", (0, 0), (-1, 0), 0.4, HAIRLINE)]
    )
