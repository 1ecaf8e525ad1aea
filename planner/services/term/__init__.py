"""What a director enters and announces of a term: its frame, days, wishes, stations, and the calendar."""
