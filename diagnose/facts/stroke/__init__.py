"""Stroke logs: from a table of time, command and position to figures, findings and facts."""
