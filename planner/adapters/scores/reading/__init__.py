"""From a MusicXML tree to a ``Score``: what each element says, and a part's walk through its measures.

The room's face: ``PartWalk`` (``walk.py``) fills the draft of each part (``draft.py``), with ``header.py``
for the head of the file, ``bars.py`` for the measures of all parts together and ``marks.py`` for the
roadmap.
"""
