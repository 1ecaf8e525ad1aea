"""Finding pieces: what is asked for, what matches it, lists that are kept, many pieces changed at once."""
