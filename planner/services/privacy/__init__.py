"""What is stored of one person: shown as a whole, or deleted for good."""
