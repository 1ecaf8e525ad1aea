"""What sections did on a reading day: the page it is entered on, and what it moved."""
