"""The exact posterior of every cause, what counts as evidence, weights, and the three statuses."""
