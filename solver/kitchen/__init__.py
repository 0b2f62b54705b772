"""One kitchen at its bench: the ways to bake a dough there, and what another bake is worth."""
