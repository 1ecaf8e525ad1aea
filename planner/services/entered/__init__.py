"""What people type, held to what can be: words on one line, remarks of several, numbers."""
