"""The study: one musical question a file, each a pure function of the score."""
