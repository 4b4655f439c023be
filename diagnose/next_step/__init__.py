"""The next step: inspections and repairs by expected minutes to a repaired unit."""
