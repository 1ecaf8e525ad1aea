"""Scores written out as MusicXML.

The room's face: the clean file that everything draws from (``clean.py``), and the movements of a file that
holds several (``movements.py``).
"""
