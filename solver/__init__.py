"""Everything numerical: measurable amounts, the mixed-integer program, its proof and its reasons.

The front door is `solver.reformulate`. No files, clock, environment or network in here.
"""
