"""The sample library: its files, and the source they are made from."""
