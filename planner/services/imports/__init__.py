"""Scores into the library: what is found, read and stored, as long work; and taking an import back."""
