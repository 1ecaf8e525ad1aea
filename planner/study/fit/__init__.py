"""Whether a reading fits the minutes, and which passage to take when it does not.

The room's face: ``find_fit`` and ``measure_reading`` (``fit.py``) for the minutes, and ``cut_score``
(``excerpts.py``) for a passage as a score of its own.
"""
