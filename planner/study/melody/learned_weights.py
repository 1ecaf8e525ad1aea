"""The learned weights of who has the tune: how much each feature of a bar counts.

Source: learned by ``tests/benchmarks/learn_melody.py`` from analysts' marks of the main line in 13 orchestral
movements by Bach, Beethoven, Brahms, Haydn and Schubert (Hauptstimme corpus, annotations CC BY-SA, scores
CC0). Only these derived weights are kept here, none of the marks. What each weighs is named beside it;
``claims.py`` says how they are used.
"""

import numpy as np

from planner.study.notes.columns import Floats

ALONE: Floats = np.array(
    [
        0.365,  # top
        0.534,  # height
        0.185,  # register
        1.929,  # sounding
        -0.617,  # entry
        0.205,  # notes
        0.236,  # busier
        0.635,  # onsets
        -0.504,  # together
        -0.237,  # same class
        0.425,  # steps
        0.408,  # rhythm
        -0.661,  # repeated
        0.163,  # slurred
        0.488,  # solo
        -0.298,  # behind
        0.496,  # first violin
        0.971,  # top around
        0.599,  # height around
        0.230,  # register around
        1.470,  # sounding around
        1.502,  # entry around
        -0.232,  # notes around
        -0.241,  # busier around
        -0.194,  # onsets around
        -0.337,  # together around
        1.015,  # same class around
        0.635,  # steps around
        1.219,  # rhythm around
        -1.544,  # repeated around
        0.527,  # slurred around
        0.604,  # solo around
        -0.298,  # behind around
        0.496,  # first violin around
    ]
)
WITH_FIGURES: Floats = np.array(
    [
        0.230,  # top
        0.290,  # height
        0.134,  # register
        1.536,  # sounding
        -0.455,  # entry
        0.016,  # notes
        0.018,  # busier
        0.244,  # onsets
        -0.134,  # together
        -0.360,  # same class
        0.039,  # steps
        0.408,  # rhythm
        -0.529,  # repeated
        0.115,  # slurred
        0.258,  # solo
        -0.165,  # behind
        0.299,  # first violin
        0.754,  # top around
        0.357,  # height around
        0.183,  # register around
        0.795,  # sounding around
        1.022,  # entry around
        -0.242,  # notes around
        -0.244,  # busier around
        -0.249,  # onsets around
        -0.124,  # together around
        0.479,  # same class around
        0.066,  # steps around
        0.838,  # rhythm around
        -1.098,  # repeated around
        0.240,  # slurred around
        0.271,  # solo around
        -0.165,  # behind around
        0.299,  # first violin around
        1.706,  # tune of 4
        0.218,  # how often of 4
        0.090,  # again of 4
        0.675,  # tune of 6
        0.515,  # how often of 6
        0.344,  # again of 6
        0.242,  # chance alone
    ]
)
