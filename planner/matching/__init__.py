"""Who reads what: casting, coverage, playability."""
