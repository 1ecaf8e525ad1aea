"""Marks from what was read and entered, exactly: the one place where they are worked out."""
