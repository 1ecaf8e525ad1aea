"""How the music counts: meter, grouping, hemiola, rhythm, tempo."""
