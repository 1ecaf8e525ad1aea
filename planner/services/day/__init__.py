"""What a director does on a reading day: reading, results, gradebook."""
