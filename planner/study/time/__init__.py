"""How the music counts: meter, grouping, hemiola, rhythm, tempo.

The room's face: ``find_meters`` (``meter.py``) for meters, groupings and felt pulses, ``find_tempo``
(``tempo.py``) for the tempos as marked, and ``find_reading`` (``tempo.py``), asked once the levels are known,
for the tempo of the readings and the playing time.
"""
