"""Levels of sections and of music.

A section: ``belief.update_level`` after one reading, ``history.trace_level`` over many,
``forecast.forecast_level`` for the weeks to come; ``curve.expected_share`` is what it should get right.

A piece: ``adjustment.fit_adjustment`` learns from the director's corrections, ``adjustment.in_force`` gives
the levels that count, ``rows.rows_of`` shows what makes each.
"""
