"""What things are: ingredients, measures, recipes, formulas, ratios, limits, briefs and outcomes.

Frozen values that are also the wire format, and the arithmetic of the trade in exact numbers.
Nothing here solves, stores or serves; `solver` and `service` build on it, never the other way.
"""
