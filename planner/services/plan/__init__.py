"""The plan of a term: what it is planned with, planning, the proposal, what stays open."""
