"""How the piece is built: phrases, sections, repeats, patterns, doublings."""
