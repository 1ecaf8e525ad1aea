"""Work in guarded child processes: no file can hang or end the program."""
