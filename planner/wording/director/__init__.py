"""What a director handles, in words: levels, who reads what, the plan, long work and changes."""
