"""In which order the written measures are played."""
