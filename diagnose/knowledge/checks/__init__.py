"""Checks of a rule base that loads: one idea a file, each a function from Located to faults."""
