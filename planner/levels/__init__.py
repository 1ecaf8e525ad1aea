"""Levels of sections and of music.

A section: ``history.trace_level`` follows its level from result to result and ahead; ``evidence`` says how
likely results are at each level, ``belief`` weighs them against what was known before and lets time pass;
``curve.expected_share`` is what it should get right, ``starts`` where its level begins.

A piece: ``adjustment.fit_adjustment`` learns from the director's corrections, ``adjustment.in_force`` gives
the levels that count, ``rows.rows_of`` shows what makes each.
"""
