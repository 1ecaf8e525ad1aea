"""One piece, looked at closely: what its page states, the bars it speaks of, its score page by page."""
