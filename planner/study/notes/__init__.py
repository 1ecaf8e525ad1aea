"""The notes of a score as arrays: lines, sonorities, ranges."""
