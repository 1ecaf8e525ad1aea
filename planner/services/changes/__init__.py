"""The journal of changes: written with each change, read, and taken back."""
