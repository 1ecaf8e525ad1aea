"""Long work: started, watched, stopped and resumed, the same for a page and a command."""
