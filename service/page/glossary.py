"""The glossary: what the page's words mean, a sentence each, to be opened in place."""

GLOSSARY: dict[str, str] = {
    "Chance of a crack": "How many of ten pieces would show a crack. It is an estimate: a trial "
    "bake decides.",
    "By kitchen": "Ovens and hands differ. The grey band is what four kitchens in five would see.",
    "Stretch of the outer face": "How much longer the outer side of the bent sheet gets than it "
    "was when cut. The whiskers draw it.",
    "Rolled to": "How thick the sheet is before it bakes, as between two guides.",
    "Wrap": "How far round the form the sheet reaches, from edge to edge; 180° is half way round.",
    "Top to rim": "From the top of the dome to its rim, seen from the centre; 90° is half a ball.",
    "Slope": "How steep the wave is half way between a crest and a trough.",
    "Lean": "How far the panel leans from upright.",
    "A flat piece": "How much a flat round of 60 mm, or a flat form itself, widens as it bakes.",
    "It costs": "What whoever eats it would notice: crisper, denser, drier.",
    "Window": "Where a ratio of the dough should lie, so that it still rolls and still holds.",
    "Leavening as soda": "All leavening, counted as if it were baking soda.",
    "Powder, as a share of soda": "How strong your baking powder is beside baking soda; 0.25 is "
    "usual.",
    "Lean towards": "Closer to your recipe changes the sheet before the dough; safer lets 1 in 10 "
    "crack at most.",
}
"""Each term is written as it stands on the page."""
