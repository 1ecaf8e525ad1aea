"""Lists of people as a whole: pasted, imported, or edited in one table."""
