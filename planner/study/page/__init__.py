"""What is printed besides the notes: accidentals, dynamics, style, words."""
