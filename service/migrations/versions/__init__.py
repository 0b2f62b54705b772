"""The steps, in order; each file begins with the number of its step."""
