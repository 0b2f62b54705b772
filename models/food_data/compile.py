"""Compile the table of foods that ships with the code from two tables of the USDA's release.

    python -m models.food_data.compile foods.csv weights.csv models/food_data/usda_sr28.csv.gz

`foods.csv` has the columns ndb_no, group, description, common_names, water, fat, sugars (grams in
100 g), `weights.csv` ndb_no, amount, measure, grams: the release's own files FOOD_DES, NUT_DATA and
WEIGHT put side by side. Rows that name a brand, which the release writes in capitals, are left out.
"""

import csv
import gzip
import io
import re
import sys
from collections.abc import Iterator
from pathlib import Path

_OF_THE_STATE = re.compile(
    r"\W*Includes foods for USDA.*|\W*Includes USDA commodity(?: food)?(?:,? ?[A-Z]-?\d+)*\)?", re.I
)
"""Said of a food that the department itself gives out; no maker's name."""
_BRAND = re.compile(r"[A-Z'&]{3,}|\b[A-Z][a-z]+'s\b")
_PROPER_NAME = re.compile(r"(?<=[ ,])[A-Z][a-z]+")
_OF_BRANDS = {"Baby Foods", "Fast Foods", "Meals, Entrees, and Side Dishes", "Restaurant Foods"}
_OF_MAKERS = {
    *("Beverages", "Breakfast Cereals", "Dairy and Egg Products", "Fats and Oils"),
    *("Legumes and Legume Products", "Snacks", "Soups, Sauces, and Gravies", "Sweets"),
}
"""Groups in which a proper name is mostly a maker's; elsewhere it is that of a place."""
_COLUMNS = ("ndb", "group", "description", "water", "fat", "sugars", "cup", "piece")
_COUNTED = {"Fruits and Fruit Juices", "Vegetables and Vegetable Products"}
"""Groups whose foods are bought, and written in recipes, by the piece."""
_PIECES = ("medium", "fruit", "whole", "large", "small", "clove", "root", "pepper", "onion", "ear")


def compile_foods(foods: Path, weights: Path) -> Iterator[dict[str, str]]:
    """Yield a row a food without a brand; `cup` is what a cup of it weighs and `piece` what a
    middling one of it weighs, where that is told."""
    cups: dict[str, float] = {}
    pieces: dict[str, dict[str, list[float]]] = {}
    for row in _rows(weights):
        amount, measure = float(row["amount"]), row["measure"].casefold()
        grams = float(row["grams"]) / amount if amount else 0.0
        if measure.startswith("cup"):
            cups.setdefault(row["ndb_no"], grams)
        size = re.match(r"\w*", measure)
        if size and size[0] in _PIECES and "slice" not in measure:
            pieces.setdefault(row["ndb_no"], {}).setdefault(size[0], []).append(grams)
        for spoon, to_the_cup in (("tbsp", 16), ("tablespoon", 16), ("tsp", 48), ("fl oz", 8)):
            if re.match(rf"{spoon}\b", measure):
                cups.setdefault(row["ndb_no"], to_the_cup * grams)
    for row in _rows(foods):
        if _is_of_a_brand(row):
            continue
        said = _OF_THE_STATE.sub("", row["common_names"])
        common = f" ({said})" if said else ""
        yield {
            "ndb": row["ndb_no"],
            "group": row["group"],
            "description": _OF_THE_STATE.sub("", row["description"]) + common,
            "water": row["water"] or "0",
            "fat": row["fat"] or "0",
            "sugars": row["sugars"],
            "cup": f"{cups[row['ndb_no']]:g}" if cups.get(row["ndb_no"]) else "",
            "piece": _middling(pieces.get(row["ndb_no"], {})) if row["group"] in _COUNTED else "",
        }


def _middling(pieces: dict[str, list[float]]) -> str:
    """Return the grams of a medium one, or the mean of the sizes that are told; "" for none."""
    told = next((pieces[size] for size in _PIECES if size in pieces), None)
    return f"{sum(told) / len(told):.4g}" if told else ""


def _is_of_a_brand(row: dict[str, str]) -> bool:
    named = _OF_THE_STATE.sub("", f"{row['description']}, {row['common_names']}")
    proper = row["group"] in _OF_MAKERS and _PROPER_NAME.search(named)
    return bool(proper) or row["group"] in _OF_BRANDS or _BRAND.search(named) is not None


def _rows(table: Path) -> Iterator[dict[str, str]]:
    with table.open(newline="", encoding="utf-8") as lines:
        yield from csv.DictReader(lines)


def main(foods: str, weights: str, compiled: str) -> None:
    """Write the compiled table; the same bytes for the same tables."""
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, _COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(compile_foods(Path(foods), Path(weights)))
    Path(compiled).write_bytes(gzip.compress(text.getvalue().encode("utf-8"), 9, mtime=0))


if __name__ == "__main__":
    main(*sys.argv[1:])
