"""Scores written out as MusicXML: the clean file, and the movements of a file that holds several."""
