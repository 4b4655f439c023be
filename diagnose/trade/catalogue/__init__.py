"""The calculations that can be asked for by name: one file of entries a part, each a tuple `CALCULATIONS`."""
