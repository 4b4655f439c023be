"""One frozen document says what was concluded and why; text and JSON are pure functions of it."""
