"""What a director does with levels."""
