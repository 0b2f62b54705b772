"""German and French names of foods beyond the pantry, each with its name in the USDA's table.

The table is `food_data/names_de_fr.tsv`; names in the pantry are aliases there. Common knowledge of
the three languages, no source.
"""

import csv
from functools import cache
from importlib.resources import files

from models.pantry import fold


def english_name(folded: str) -> str | None:
    """Return what a German or French name, as it is folded, is called in English; None for none."""
    return _english().get(folded)


@cache
def _english() -> dict[str, str]:
    text = (files("models") / "food_data" / "names_de_fr.tsv").read_text("utf-8")
    return {
        fold(name): row["english"]
        for row in csv.DictReader(text.splitlines(), delimiter="\t")
        for name in (*row["german"].split(";"), *row["french"].split(";"))
    }
