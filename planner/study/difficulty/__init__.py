"""How hard each part and the piece are, and why."""
