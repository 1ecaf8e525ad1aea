"""Engraved excerpts (verovio)."""
