"""The tests. A package of its own, for converter21 4.0.2 installs one of the same name."""
