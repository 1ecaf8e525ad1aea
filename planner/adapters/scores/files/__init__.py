"""From the bytes of a file to a MusicXML tree that can be trusted.

The room's face: ``load_raw`` (``precheck.py``) says whether a file is safe and worth parsing,
``parse_musicxml`` (``heal.py``) gives its tree, and ``formats.py`` turns other kinds of files into MusicXML
first.
"""
