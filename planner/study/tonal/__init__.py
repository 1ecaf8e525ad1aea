"""Keys, chords and cadences.

The room's face: ``find_keys`` (``keys.py``) for the home key, the local keys and the accidentals they bring,
and ``find_harmony`` (``harmony.py``) for chords, cadences and pedal points in those keys.
"""
