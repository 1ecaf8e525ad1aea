"""Whatever values the layers inside can hold, the database gives back the same."""

from dataclasses import is_dataclass, replace
from datetime import date
from enum import Enum
from itertools import count
from types import UnionType
from typing import Literal, Union, get_args, get_origin, get_type_hints

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.adapters.db import open_library
from planner.core.catalogue import CATALOGUE, FieldKind
from planner.core.ensemble import Ensemble, Exposure, Player, Section, StartBasis
from planner.core.piece import SourceFile
from planner.core.profile import PROFILE_FORMAT, PROFILE_VERSION, Contribution, PieceProfile
from planner.core.term import Attendance, Plan, PlayerMark, Reason, ReasonKind, Result, Slot, Term, Wish
from tests.fakes import make_profile, make_source
from tests.marks.gradebooks import random_scheme

DAY = date(2026, 9, 3)
FRESH = count(1)

text = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), max_size=12)
number = st.floats(allow_nan=False, allow_infinity=False)
maybe_number = st.none() | number
whole = st.integers(0, 2**31 - 1)
day = st.dates()
maybe_day = st.none() | day
words = st.lists(text, max_size=3).map(tuple)

PLAIN = {str: text, float: number, int: whole, bool: st.booleans(), type(None): st.none()}


def anything_of(kind):
    """Values of a declared type: plain ones, literals, unions, tuples and dataclasses of them."""
    origin, args = get_origin(kind), get_args(kind)
    if is_dataclass(kind):
        return st.deferred(
            lambda: st.builds(
                kind, **{name: anything_of(hint) for name, hint in get_type_hints(kind).items()}
            )
        )
    if isinstance(kind, type) and issubclass(kind, Enum):
        return st.sampled_from(kind)
    if origin is Literal:
        return st.sampled_from(args)
    if origin in (Union, UnionType):
        return st.one_of(*map(anything_of, args))
    if origin is tuple and args[-1] is Ellipsis:
        return st.lists(anything_of(args[0]), max_size=2).map(tuple)
    if origin is tuple:
        return st.tuples(*map(anything_of, args))
    return PLAIN[kind]


once = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    with open_library(tmp_path_factory.mktemp("home") / "library.sqlite") as library:
        yield library


def new(library):
    """A piece and a band of one section with one player, committed; ids of each."""
    name = f"n{next(FRESH)}"
    with library() as work:
        piece = work.pieces.add(make_source(name), make_profile(name), DAY)
        flute = Section(0, "Flute", "flute", players=(Player(0, "Ida"),))
        band = work.ensembles.get(work.ensembles.add(Ensemble(0, name, "band", (flute,))))
        work.commit()
    return piece, band


_OF_KIND = {
    **dict.fromkeys([FieldKind.TEXT, FieldKind.NOTE], text),
    **dict.fromkeys([FieldKind.GRADE, FieldKind.NUMBER], maybe_number),
    **dict.fromkeys([FieldKind.TAGS, FieldKind.KEYS, FieldKind.METERS, FieldKind.PARTS], words),
}


@settings(once, max_examples=10)
@given(st.data())
def test_a_piece_and_its_study_come_back(library, data):
    profile = replace(data.draw(anything_of(PieceProfile)), format=PROFILE_FORMAT, version=PROFILE_VERSION)
    source = SourceFile(
        f"{next(FRESH):064x}", data.draw(text), data.draw(whole), data.draw(text), data.draw(text)
    )
    added = data.draw(day)
    with library() as work:
        piece_id = work.pieces.add(source, profile, added)
        work.commit()
    with library() as work:
        piece = work.pieces.get(piece_id)
        assert work.pieces.profile(piece_id) == profile
    assert (piece.source, piece.added_on, piece.studied_level) == (source, added, profile.level)
    assert piece.meters == tuple(dict.fromkeys(span.time for span in profile.meters))
    corrected = replace(
        piece,
        **{field.name: data.draw(_OF_KIND[field.kind]) for field in CATALOGUE},
        level=data.draw(maybe_number),
    )
    with library() as work:
        work.pieces.update(corrected)
        work.pieces.store_levels({piece_id: corrected.level})
        work.commit()
    with library() as work:
        assert work.pieces.get(piece_id) == corrected


@once
@given(
    kind=text,
    sections=st.lists(
        st.builds(
            Section, st.just(0), text, text, whole, whole, number, maybe_number,
            st.lists(st.builds(Player, st.just(0), text, maybe_day, maybe_day), max_size=3).map(tuple),
            maybe_number, maybe_number, maybe_day, anything_of(StartBasis),
        ),
        max_size=3, unique_by=lambda section: section.name,
    ),
)  # fmt: skip
def test_an_ensemble_comes_back(library, kind, sections):
    ensemble = Ensemble(0, f"n{next(FRESH)}", kind, tuple(sections))
    with library() as work:
        stored = work.ensembles.add(ensemble)
        work.commit()
    with library() as work:
        back = work.ensembles.get(stored)
    bare = tuple(
        replace(s, id=0, players=tuple(replace(p, id=0, person=0) for p in s.players)) for s in back.sections
    )
    assert replace(back, id=0, sections=bare) == ensemble


reasons = st.builds(
    Reason, st.sampled_from(ReasonKind), st.lists(st.tuples(text, number), max_size=3).map(tuple),
    st.none() | whole, maybe_day, words,
    st.none() | anything_of(Contribution),
)  # fmt: skip


@once
@given(
    st.builds(
        Term, st.just(0), st.just(0), text, day, day, st.lists(st.integers(0, 6), unique=True).map(tuple),
        st.lists(day, unique=True, max_size=5).map(tuple), number, whole, maybe_number, maybe_number,
    ),
    st.data(),
)  # fmt: skip
def test_a_term_with_wishes_and_plan_comes_back(library, term, data):
    piece_id, band = new(library)
    scheme = random_scheme(data.draw(st.randoms(use_true_random=False)))
    term = replace(term, ensemble_id=band.id, marks=scheme)
    wish = st.builds(Wish, st.sampled_from(["pinned", "banned"]), st.just(piece_id), maybe_day)
    slot = st.builds(
        Slot, day, whole, st.just(piece_id), text, st.none() | st.just(band.sections[0].id), number,
        st.booleans(), st.lists(reasons, max_size=3).map(tuple),
    )  # fmt: skip
    slots = data.draw(st.lists(slot, max_size=4, unique_by=lambda s: (s.on, s.position)))
    wishes = tuple(data.draw(st.lists(wish, max_size=3)))
    with library() as work:
        term_id = work.terms.add(term)
        ordered = tuple(sorted(slots, key=lambda s: (s.on, s.position)))
        plan = Plan(term_id, ordered, data.draw(number), data.draw(number), data.draw(st.booleans()))
        work.terms.set_wishes(term_id, wishes)
        work.terms.save_plan(plan)
        work.commit()
    with library() as work:
        assert work.terms.get(term_id) == replace(term, id=term_id)
        assert work.terms.wishes(term_id) == wishes
        assert work.terms.plan(term_id) == plan


@once
@given(st.data())
def test_results_marks_and_exposures_come_back(library, data):
    piece_id, band = new(library)
    flute = band.sections[0]
    result = data.draw(
        st.builds(
            Result, st.just(band.id), st.just(flute.id), st.just(piece_id), day, number, maybe_number,
            maybe_number, words, text, st.booleans(),
        )
    )  # fmt: skip
    mark = data.draw(
        st.builds(
            PlayerMark,
            st.just(flute.players[0].id),
            day,
            st.none() | st.sampled_from(Attendance),
            st.none() | st.decimals(0, 100, places=4),
            maybe_day,
            text,
        )
    )
    exposure = data.draw(
        st.builds(
            Exposure, st.just(band.id), st.just(piece_id),
            st.sampled_from(["performed", "rehearsed", "read", "heard"]), maybe_day,
            st.none() | st.just(flute.id), text,
        )
    )  # fmt: skip
    with library() as work:
        work.results.put(result)
        work.results.put_mark(mark)
        work.ensembles.add_exposure(exposure)
        work.commit()
    with library() as work:
        assert work.results.list_results(band.id) == (result,)
        assert work.results.marks(band.id, mark.on) == (mark,)
        assert work.ensembles.exposures(band.id) == (exposure,)
