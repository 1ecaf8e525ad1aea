"""Reports of a term: of a section, of a player, and for the head of the school."""
