"""What is printed besides the notes: accidentals, signatures, dynamics, style, words.

The room's face: ``find_accidentals`` (``accidentals.py``) and ``find_expression`` (``expression.py``) for the
whole score, ``written_signatures`` (``signatures.py``) for one part.
"""
