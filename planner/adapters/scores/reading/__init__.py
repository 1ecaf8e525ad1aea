"""From a MusicXML tree to a ``Score``: what each element says, and a part's walk through its measures."""
