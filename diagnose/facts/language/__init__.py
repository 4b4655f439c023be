"""Maintenance language: typed words become facts with the span they came from."""
