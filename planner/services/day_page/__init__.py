"""The page for the room: a day's steps, its clock, and what the room sees of each piece."""
