"""Score files into the neutral ``Score`` (music21)."""
