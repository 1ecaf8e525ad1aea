"""Questions for the room about a piece, with answers, from what the study found."""
