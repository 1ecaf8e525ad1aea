"""Printed sheets, workbooks and calendars."""
