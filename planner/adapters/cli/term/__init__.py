"""Commands about a term: its plan, its days and wishes, the proposal."""
