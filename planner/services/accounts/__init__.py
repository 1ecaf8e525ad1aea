"""Who may open the pages, and how they log in."""
