"""Examples to try: three doughs of the lantern makers of Wickhollow, a town that is made up.

One is too rich and too raised for its lamp, one is written the way people write, and one is laid
over a wave.
"""

from typing import NamedTuple

from service.page.fields import Fields

KEPT = ("measures", "lengths", "lang", "embed")


class Example(NamedTuple):
    """A dough to try: what to call it, what it shows, and the fields it fills in."""

    name: str
    says: str
    typed: dict[str, tuple[str, ...]]

    def fields(self, chosen: Fields) -> Fields:
        """Return the fields it fills in; measures and lengths stay as they were `chosen`."""
        own = {name: chosen.typed[name] for name in KEPT if name in chosen.typed}
        return Fields({**self.typed, **own, "do": ("answer",)})


def _typed(title: str, lines: str, **rest: str) -> dict[str, tuple[str, ...]]:
    fields = {"title": title, "lines": lines.strip().replace("\n", "\r\n"), **rest}
    return {name: (value,) for name, value in fields.items()}


EXAMPLES: dict[str, Example] = {
    "lantern": Example(
        "Lantern ginger dough",
        "curved shades that slump and crack",
        {
            **_typed(
                "Lantern ginger dough",
                """
3 1/2 cups all-purpose flour
1 cup (227 g) unsalted butter
1 egg
3/4 cup packed brown sugar
1/3 cup molasses
1 1/2 tsp baking soda
1 tbsp ground ginger
1/2 tsp salt
""",
                form="cylinder",
                thickness="4 mm",
                keep="molasses",
            ),
            "cylinder.diameter_mm": ("80 mm",),
            "cylinder.wrap_degrees": ("150",),
        },
    ),
    "chimney": Example(
        "Lamp-chimney honey dough",
        "a cone, and lines that leave room for doubt",
        {
            **_typed(
                "Lamp-chimney honey dough",
                """
500 g all-purpose flour
150 g unsalted butter
180 g honey
100 g sugar
1 egg
1/2 tsp baker's ammonia
2 tsp ground cinnamon
a pinch of salt
2-3 tbsp milk
""",
                form="cone",
                thickness="4 mm",
                keep="honey",
            ),
            "cone.base_diameter_mm": ("90 mm",),
            "cone.top_diameter_mm": ("50 mm",),
        },
    ),
    "harbour": Example(
        "Harbour-wave shortbread",
        "a wave, thick and rich",
        {
            **_typed(
                "Harbour-wave shortbread",
                """
3 cups cake flour
1 1/4 cups unsalted butter, softened
1 cup powdered sugar
1 egg yolk
1 tsp vanilla extract
1/2 tsp baking powder
1/4 tsp salt
""",
                form="wave",
                thickness="5 mm",
            ),
            "wave.crest_radius_mm": ("25 mm",),
            "wave.slope_degrees": ("40",),
        },
    ),
}

SAMPLE = EXAMPLES["lantern"].typed["lines"][0]
"""What a fresh page shows the answer for, until a recipe is pasted."""
