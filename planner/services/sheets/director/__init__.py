"""The sheet that a director conducts a reading from: what is on it, and its making."""
