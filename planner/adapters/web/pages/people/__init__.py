"""Pages of the people: sections, players, ensembles, what they have met."""
