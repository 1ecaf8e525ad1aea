"""Copies of the whole home, and the way back to one."""
