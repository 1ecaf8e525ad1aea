"""Whether a reading fits the minutes, and which passage to take when it does not."""
