"""What a director does with the library of pieces."""
