"""Path data against the W3C specification's own examples, and against another parser."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from svglib.utils import normalise_svg_path

from planner.adapters.exports.svg_path import parse_path


@pytest.mark.parametrize(
    ("data", "segments"),
    [
        # SVG 1.1 8.3.2 example triangle01
        (
            "M 100 100 L 300 100 L 200 300 z",
            (("M", (100, 100)), ("L", (300, 100)), ("L", (200, 300)), ("L", (100, 100)), ("Z", ())),
        ),
        # SVG 1.1 8.3.6 example cubic01: S mirrors the last control point
        (
            "M100,200 C100,100 250,100 250,200 S400,300 400,200",
            (("M", (100, 200)), ("C", (100, 100, 250, 100, 250, 200)), ("C", (250, 300, 400, 300, 400, 200))),
        ),
        # SVG 1.1 8.3.1: further pairs after a moveto are linetos; numbers need no separator before a sign
        ("m10-20 5,5-5 5", (("M", (10, -20)), ("L", (15, -15)), ("L", (10, -10)))),
        ("M1.5.5L-.5-1e1", (("M", (1.5, 0.5)), ("L", (-0.5, -10)))),
        # after z the next relative command starts from the subpath's start
        (
            "M5 5h4v4z l1 1",
            (
                ("M", (5, 5)),
                ("L", (9, 5)),
                ("L", (9, 9)),
                ("L", (5, 5)),
                ("Z", ()),
                ("M", (5, 5)),
                ("L", (6, 6)),
            ),
        ),
        ("", ()),
    ],
)
def test_examples_of_the_specification(data, segments):
    assert parse_path(data) == segments


def test_quadratic_curves_become_cubic_ones_of_the_same_shape():
    """Raised by one degree: controls at two thirds of the way (any text on Bézier curves)."""
    (_, (_, curve)) = parse_path("M0 0 Q 3 3 6 0")
    assert curve == pytest.approx((2, 2, 4, 2, 6, 0))


def test_an_arc_stays_on_its_circle():
    """A quarter of a circle of radius 10 about the origin, drawn as curves."""
    segments = parse_path("M 10 0 A 10 10 0 0 1 0 10")
    (_, (x1, y1, x2, y2, x, y)) = segments[-1]
    assert (x, y) == pytest.approx((0, 10), abs=1e-9)
    x0, y0 = 10.0, 0.0
    middle = ((x0 + 3 * x1 + 3 * x2 + x) / 8, (y0 + 3 * y1 + 3 * y2 + y) / 8)
    assert math.hypot(*middle) == pytest.approx(10, rel=1e-3)


def test_cut_off_data_end_quietly():
    assert parse_path("M1 2 L3") == (("M", (1, 2)),)
    assert parse_path("Z 4 4") == ()


NUMBER = st.integers(-500, 500)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.sampled_from("lLcC"), st.tuples(*[NUMBER] * 6)), min_size=1, max_size=6))
def test_lines_and_curves_agree_with_svglib(steps):
    data = "M 10 10 "
    for command, numbers in steps:
        count = 2 if command in "lL" else 6
        data += f"{command} {' '.join(map(str, numbers[:count]))} "
    theirs, at = [], (0.0, 0.0)
    flat = iter(normalise_svg_path(data))
    for command, numbers in zip(flat, flat, strict=True):
        shift = at * (len(numbers) // 2) if command.islower() else (0.0,) * len(numbers)
        points = tuple(n + s for n, s in zip(numbers, shift, strict=True))
        at = points[-2:]
        theirs.append((command.upper(), points))
    assert [(k, n) for k, n in parse_path(data)] == theirs
