"""The arithmetic of the trade: small pure functions, each with its formula, units and source."""
