"""Legal roadmaps made at random, each with the order of play that it was made from.

A roadmap is made from what is to be played: stretches, repeats in repeats, endings, a return to the top or to
a sign. The marks are then written as an engraver may write them (an opening bar left out where common
practice lets it, a bracket broken at the end of a line or drawn over its first bar), so the walk has to find
the order again from the marks alone.
"""

from dataclasses import dataclass, field
from fractions import Fraction

from hypothesis import strategies as st

from planner.core.score import Measure, Part, RoadmapMark, Score, TimeSignature

FOUR_FOUR = TimeSignature((((4,), 4),))


@dataclass
class Page:
    """Marks as they are written, and how many bars stand."""

    bars: int = 0
    marks: list[RoadmapMark] = field(default_factory=list)
    numbers: list[str] = field(default_factory=list)

    def write(self, count):
        """Write bars; their positions."""
        first, self.bars = self.bars, self.bars + count
        return list(range(first, self.bars))

    def mark(self, kind, measure, **facts):
        self.marks.append(RoadmapMark(kind, measure, **facts))

    def score(self):
        measures = tuple(
            Measure(at, number, Fraction(4 * at), Fraction(4), FOUR_FOUR)
            for at, number in enumerate(self.numbers)
        )
        return Score("Random", measures, (Part("P1", "Part 1"),), marks=tuple(self.marks))


@dataclass(frozen=True)
class Played:
    """What a passage comes to: with its repeats, and as it is played after a D.C. or D.S."""

    whole: list[int]
    once: list[int]

    def __add__(self, other):
        return Played(self.whole + other.whole, self.once + other.once)


@st.composite
def endings(draw, page, body, times_marked):
    """Two or three endings after a body that is written already; each but the last goes back."""
    groups = draw(st.sampled_from([((1,), (2,)), ((1,), (2,), (3,)), ((1, 2), (3,)), ((1,), (2, 3))]))
    whole, last = [], []
    for at, numbers in enumerate(groups):
        length = draw(st.integers(1, 3))
        bars = page.write(length)
        is_last = at == len(groups) - 1
        style = draw(st.sampled_from(["whole", "short", "broken"])) if length > 1 else "whole"
        page.mark("ending-start", bars[0], numbers=numbers)
        if style == "short" and not is_last:
            page.mark("ending-stop", bars[0], numbers=numbers)
        elif style == "broken":
            page.mark("ending-stop", bars[0], numbers=numbers)
            page.mark("ending-start", bars[1], numbers=numbers)
            page.mark("ending-stop", bars[-1], numbers=numbers)
        else:
            page.mark("ending-stop", bars[-1], numbers=numbers)
        goes_back = not is_last or len(numbers) > 1
        if goes_back and (times_marked or style == "short" or len(numbers) > 1 or is_last):
            page.mark("repeat-end", bars[-1])
        for _ in numbers:
            whole += body.whole + bars
        last = bars
    return Played(whole, body.once + last)


@st.composite
def item(draw, page, depth, may_open_unmarked, times_marked):
    """A stretch, a repeat or a passage with endings; what is played of it, and whether it closed a repeat."""
    kind = draw(st.sampled_from(["plain", "plain", "repeat", "endings"] if depth else ["plain"]))
    if kind == "plain":
        bars = page.write(draw(st.integers(1, 4)))
        return Played(bars, bars), False
    is_marked = not may_open_unmarked or draw(st.booleans())
    if is_marked:
        page.mark("repeat-start", page.bars)
    has_inner = is_marked and draw(st.booleans())
    body = Played([], [])
    bars = page.write(draw(st.integers(1, 3)))
    body += Played(bars, bars)
    if has_inner:
        inner, _ = draw(item(page, depth - 1, False, True))
        bars = page.write(draw(st.integers(1, 2)))
        body += inner + Played(bars, bars)
    if kind == "endings":
        return draw(endings(page, body, times_marked)), True
    times = draw(st.integers(2, 4))
    page.mark("repeat-end", page.bars - 1, times=times)
    return Played(body.whole * times, body.once), True


@st.composite
def movement(draw, page):
    """One movement with or without a return; the bars in the order of play."""
    first = page.bars
    form = draw(
        st.sampled_from(["straight", "straight", "da-capo", "dal-segno", "coda", "sign-coda", "rondeau"])
    )
    times_marked = form != "straight" or draw(st.booleans())
    if form == "rondeau":
        order = draw(rondeau(page))
    else:
        stretches, unmarked = [], True
        for _ in range(draw(st.integers(1, 4))):
            stretch, closed = draw(item(page, 2, unmarked, times_marked))
            stretches.append(stretch)
            unmarked = unmarked and closed
            if not closed:
                bars = page.write(1)
                stretches.append(Played(bars, bars))
                unmarked = False
        order = [at for stretch in stretches for at in stretch.whole]
        if form != "straight":
            order += draw(returned(page, stretches, form))
    if page.bars - first == 1:
        order += page.write(1)  # a movement of one bar could not be told by its numbers
    page.numbers += [str(at + 1) for at in range(page.bars - first)]
    return order


@st.composite
def returned(draw, page, stretches, form):
    """A jump back after the stretches, and what is played after it."""
    bars = page.write(draw(st.integers(1, 2)))
    stretches.append(Played(bars, bars))
    back = 0
    jump = "da-capo" if form in ("da-capo", "coda") else "dal-segno"
    words = "D.C." if jump == "da-capo" else "D.S."
    if jump == "dal-segno":
        back = draw(st.integers(0, len(stretches) - 1))
        page.mark("segno", stretches[back].whole[0])
    plain = [
        at for at in range(back, len(stretches) - 1) if len(stretches[at].whole) == len(stretches[at].once)
    ]
    goal = draw(st.sampled_from(plain or [len(stretches) - 1]))
    end = stretches[goal].whole[-1]
    again = [at for stretch in stretches[back : goal + 1] for at in stretch.once]
    if form in ("coda", "sign-coda") and goal < len(stretches) - 1:
        page.mark("to-coda", end)
        page.mark(jump, bars[-1], text=f"{words} al Coda")
        coda = page.write(draw(st.integers(1, 3)))
        page.mark("coda", coda[0])
        return bars + again + coda
    page.mark("fine", end)
    page.mark(jump, bars[-1], text=f"{words} al Fine")
    return bars + again


@st.composite
def rondeau(draw, page):
    """A B A C A, each episode with its own D.C."""
    theme = page.write(draw(st.integers(1, 4)))
    page.mark("fine", theme[-1])
    order = list(theme)
    text = draw(st.sampled_from(["D.C.", "D.C. al Fine", "Da capo"]))
    for _ in range(draw(st.integers(1, 3))):
        episode = page.write(draw(st.integers(1, 4)))
        page.mark("da-capo", episode[-1], text=text)
        order += episode + theme
    return order


@st.composite
def roadmaps(draw):
    """A score of one to three movements and the order it is to be played in."""
    page, order = Page(), []
    for _ in range(draw(st.integers(1, 3))):
        order += draw(movement(page))
    return page.score(), order
