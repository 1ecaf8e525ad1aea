"""How the piece is built: phrases, sections, repeats, patterns, doublings.

The room's face: ``find_form`` (``form.py``) for the piece, ``find_patterns`` (``patterns.py``) for each part,
and ``boundaries_of`` (``boundaries.py``) for the bars in which sections begin, which keys and closes ask too.
"""
