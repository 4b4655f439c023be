"""Forward chaining: beliefs become atoms, rules fire on atoms, and every firing is kept."""
