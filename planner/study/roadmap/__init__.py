"""In which order the written measures are played.

The room's face: ``find_play_order`` (``play_order.py``) lays the marks of all pages together (``marks.py``),
pairs repeats and endings (``passages.py``) and walks through them (``walk.py``).
"""
