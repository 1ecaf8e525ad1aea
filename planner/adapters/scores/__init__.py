"""Score files into the neutral ``Score`` (lxml for MusicXML; music21, converter21 for other formats).

The room's face: ``reader.read_score`` in this process, ``worker.ScoreStudyPool`` and ``child_reader`` in
guarded children. Inside, ``files`` goes from bytes to a tree, ``reading`` from a tree to a ``Score``, and
``writing`` from a tree to clean MusicXML.
"""
