"""The hard places of each part: ``spots.find_spots`` finds them, hardest first, each with its challenges."""
