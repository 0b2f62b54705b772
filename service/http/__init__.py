"""The protocol: bodies, callers, conditions, limits and refusals, the same for every route."""
