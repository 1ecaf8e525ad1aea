"""Words on a printed sheet, in any script: which typeface has a letter, how letters join, where lines end."""
