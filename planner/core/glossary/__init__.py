"""The words of tempo, character and playing that stand on a page: one table, with kind and plain meaning.

``terms.glossary()`` is the whole of it; ``terms.DEGREES`` are the words that only say how much.
"""
