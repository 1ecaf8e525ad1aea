"""Finding pieces: what the director asks for, the pieces that match it, lists that are kept, many changed at
once."""
