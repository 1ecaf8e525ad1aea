"""The outside world: files, database, drawing, pages, command line. No adapter imports another."""
