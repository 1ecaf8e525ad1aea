"""Tables of the director's own: read from workbooks and text files, and written as both."""
