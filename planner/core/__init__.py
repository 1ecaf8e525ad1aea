"""Exact, frozen values that every other layer speaks in. Standard library only."""
