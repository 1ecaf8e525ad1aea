"""What the pages of a term show: the plan, a proposal, one day's choices, what is broken, the picture."""
