"""The beat of a piece: what a metronome needs to count it off and to go with it."""
