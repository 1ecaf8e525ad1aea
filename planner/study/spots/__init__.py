"""The hard places of each part."""
