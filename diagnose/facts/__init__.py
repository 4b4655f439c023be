"""Facts with origin and trust, from answers, readings, case files and unit records."""
