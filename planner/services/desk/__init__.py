"""The director's desk: the next day, the week, whom to watch, what waits."""
