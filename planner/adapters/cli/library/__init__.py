"""Commands about the library: its pieces, copies, linked files, criteria."""
