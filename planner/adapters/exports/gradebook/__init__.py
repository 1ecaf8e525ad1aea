"""The gradebook of a term as a workbook: entries by day, live formulas with their values, what was written."""
