"""Commands about people: ensembles, sections, players, what they have met."""
