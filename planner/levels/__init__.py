"""Levels of sections and of music.

A section: ``belief.estimate`` from its readings, ``history.trace_level`` day by day,
``forecast.forecast_level`` for the weeks to come; ``curve.expected_share`` is what it should get right.

A piece: ``adjustment.fit_adjustment`` learns from the director's corrections, ``adjustment.in_force`` gives
the levels that count, ``rows.rows_of`` shows what makes each.
"""
