"""Every sentence about music, from typed facts: for a player's sheet, the director, a page."""
