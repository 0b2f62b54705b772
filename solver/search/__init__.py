"""The search: measurable amounts, the program over them, and its least answer, proved."""
