"""What an ensemble can read now: pieces against sections."""
