"""Whether a reading fits the minutes, and which passage to take when it does not.

The room's face: ``find_fit`` and ``measure_reading`` (``fit.py``) for the minutes, and ``narrowed``
(``excerpts.py``) for what was settled of a passage alone.
"""
