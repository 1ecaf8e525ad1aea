"""The scoring form: shaped for a term, filled in on its days, and what its points come to."""
