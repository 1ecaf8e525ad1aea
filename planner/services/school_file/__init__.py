"""The file of marks for a school's own system: how the director wants it, and writing it."""
