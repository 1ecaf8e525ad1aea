"""What a player's sheet says of a part, in the order of a good reader, and what is left out of it."""
