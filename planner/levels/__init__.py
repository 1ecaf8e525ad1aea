"""A section's reading level: belief, update, forecast."""
