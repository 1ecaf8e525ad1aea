"""What a director prints."""
