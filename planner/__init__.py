"""Plan an ensemble's weekly sight-reading: study scores, match them to sections, lay out a term."""

__version__ = "0.1.0"
