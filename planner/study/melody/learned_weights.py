"""The learned weights of who has the tune: how much each feature of a bar counts.

Source: learned by ``tests/benchmarks/learn_melody.py`` from analysts' marks of the main line in 13 orchestral
movements by Bach, Beethoven, Brahms, Haydn and Schubert (Hauptstimme corpus, annotations CC BY-SA, scores
CC0), and from 19 settings for band of the sample library, whose sources say who has the tune. Only these
derived weights are kept here, none of the marks. What each weighs is named beside it; ``claims.py`` says how
they are used.
"""

import numpy as np

from planner.study.notes.columns import Floats

ALONE: Floats = np.array(
    [
        0.245,  # top
        0.649,  # height
        0.180,  # register
        2.174,  # sounding
        -0.730,  # entry
        0.160,  # notes
        0.176,  # busier
        0.487,  # onsets
        -0.445,  # together
        -0.115,  # same class
        0.358,  # steps
        0.255,  # rhythm
        -0.704,  # repeated
        0.174,  # slurred
        0.451,  # solo
        -0.358,  # behind
        0.508,  # first violin
        0.831,  # top around
        0.810,  # height around
        0.166,  # register around
        1.753,  # sounding around
        0.326,  # entry around
        -0.342,  # notes around
        -0.352,  # busier around
        0.289,  # onsets around
        -0.332,  # together around
        1.215,  # same class around
        1.137,  # steps around
        1.563,  # rhythm around
        -2.448,  # repeated around
        0.688,  # slurred around
        0.629,  # solo around
        -0.358,  # behind around
        0.508,  # first violin around
    ]
)
WITH_FIGURES: Floats = np.array(
    [
        0.167,  # top
        0.321,  # height
        0.135,  # register
        1.663,  # sounding
        -0.450,  # entry
        -0.020,  # notes
        -0.022,  # busier
        0.085,  # onsets
        -0.115,  # together
        -0.272,  # same class
        -0.013,  # steps
        0.288,  # rhythm
        -0.553,  # repeated
        0.109,  # slurred
        0.205,  # solo
        -0.191,  # behind
        0.283,  # first violin
        0.675,  # top around
        0.510,  # height around
        0.133,  # register around
        0.887,  # sounding around
        0.468,  # entry around
        -0.332,  # notes around
        -0.300,  # busier around
        0.005,  # onsets around
        0.075,  # together around
        0.404,  # same class around
        0.373,  # steps around
        0.951,  # rhythm around
        -1.630,  # repeated around
        0.266,  # slurred around
        0.181,  # solo around
        -0.191,  # behind around
        0.283,  # first violin around
        2.050,  # tune of 4
        0.079,  # how often of 4
        0.131,  # again of 4
        1.622,  # tune of 6
        0.717,  # how often of 6
        0.345,  # again of 6
        0.247,  # chance alone
    ]
)
