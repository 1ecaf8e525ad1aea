"""The pages (Flask)."""
