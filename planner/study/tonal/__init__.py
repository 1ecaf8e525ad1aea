"""Keys, chords and cadences."""
