"""Reading in files that were filled in, against what they held when written and what is stored by now."""
