"""From the bytes of a file to a MusicXML tree that can be trusted."""
