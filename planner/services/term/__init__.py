"""What a director does with a term: matching, planning, publishing."""
