"""The study's facts in words, a module a subject: ``dynamics.py``, ``time.py``, ``patterns.py`` and so on.

The room's face: ``sentence_of`` and ``sentences_of`` for chosen facts, ``statements_of`` for all of a
profile (``sentences.py``).
"""
