"""The command line: each command a thin call of a service."""
