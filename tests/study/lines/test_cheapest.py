"""The cheapest path against every path."""

from itertools import product

import numpy as np

from planner.study.lines.cheapest import NOWHERE, cheapest_path


def test_no_path_of_all_is_cheaper():
    random = np.random.default_rng(3)
    for _ in range(60):
        own = random.integers(0, 5, (5, 3)).astype(float)
        own[random.random((5, 3)) < 0.3] = np.inf
        own[~np.isfinite(own).any(axis=1), 0] = 1.0
        move = random.integers(0, 6, (3, 3)).astype(float)
        joined = random.random(4) < 0.7

        def cost(path, own=own, move=move, joined=joined):
            places = sum(own[note, place] for note, place in enumerate(path))
            return places + sum(move[path[at], path[at + 1]] for at in range(4) if joined[at])

        least = min(cost(path) for path in product(range(3), repeat=5))
        assert cost(cheapest_path(own, move, joined).tolist()) == least


def test_a_note_that_cannot_be_played_parts_the_line():
    own = np.array([[0.0, np.inf], [np.inf, np.inf], [np.inf, 0.0]])
    path = cheapest_path(own, np.array([[0.0, 9.0], [9.0, 0.0]]), np.array([True, True]))
    assert path.tolist() == [0, NOWHERE, 1]
