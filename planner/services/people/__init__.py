"""What a director does with ensembles, sections and players."""
