"""The catalogue as a whole: taken from the director's own files, looked at, stored, and given out."""
