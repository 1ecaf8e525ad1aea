"""The gradebook of a term as a workbook: entries by day, and live formulas with their values."""
