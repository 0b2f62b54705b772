"""Recipes in schema.org's words (https://schema.org/Recipe), wherever they stand in any JSON-LD.

Only the words are known, not the whole of JSON-LD: contexts are never fetched, and a reference
(`@id` alone) is taken as it stands. What an entry is made of is `service.exchange.json_ld`.
"""

import html
import json
from collections.abc import Iterator, Sequence
from typing import Any, TypeAlias

from models.measures import Unit

Written: TypeAlias = str | dict[str, Any]
"""A line as a file holds it: text, our three members, or an object of schema.org."""

VOCABULARIES = ("", "schema:", "https://schema.org/", "http://schema.org/")

_UNIT_CODES: dict[str, Unit] = {
    "GRM": "g",
    "KGM": "kg",
    "MLT": "ml",
    "LTR": "l",
    "ONZ": "oz",
    "LBR": "lb",
}
"""Common codes of UN/CEFACT Recommendation 20, which `unitCode` takes; from memory."""


def recipes_in(content: Any) -> Iterator[dict[str, Any]]:
    """Yield every recipe in `content`, at any depth and in its order; none within another."""
    waiting = [content]
    while waiting:
        value = waiting.pop()
        if isinstance(value, list):
            waiting += reversed(value)
        elif isinstance(value, dict):
            if is_recipe(value):
                yield value
            else:
                waiting += reversed(value.values())


def is_recipe(node: dict[str, Any]) -> bool:
    """Tell whether `node` says that it is a recipe, perhaps among other things."""
    types = node.get("@type")
    wanted = {f"{vocabulary}Recipe" for vocabulary in VOCABULARIES}
    named = types if isinstance(types, list) else [types]
    return any(isinstance(name, str) and name in wanted for name in named)


def take(node: dict[str, Any], name: str) -> Any:
    """Take the member called `name` out of `node`, whichever way it is spelled; None for none."""
    spellings = [f"{vocabulary}{name}" for vocabulary in VOCABULARIES]
    values = [node.pop(spelling) for spelling in spellings if spelling in node]
    return values[0] if values else None


def written_lines_of(members: dict[str, Any]) -> list[Written]:
    """Take the ingredients out of a recipe's `members`, those of a section after its heading."""
    older = written_in(take(members, "ingredients"))  # what recipeIngredient was called before
    return list(_with_sections(written_in(take(members, "recipeIngredient")) or older))


def written_in(value: Any) -> list[Written]:
    """Return the lines in the value of `recipeIngredient`, as they are written."""
    if isinstance(value, str):
        return list(value.splitlines())
    if isinstance(value, dict):
        items = next((value[name] for name in ("@list", "@set") if name in value), [value])
        value = items
    if not isinstance(value, list):
        return [] if value is None else [json.dumps(value)]
    return [item if isinstance(item, str | dict) else json.dumps(item) for item in value]


def words_of(line: Written) -> str:
    """Return a line in words: "3 1/2 cups flour" of any way to write it."""
    if isinstance(line, str):
        return html.unescape(line).strip()
    if set(line) == {"ingredient", "quantity", "unit"}:
        return _joined(line["quantity"], line["unit"], line["ingredient"])
    if isinstance(line.get("@value"), str):
        return words_of(line["@value"])
    name = line.get("name")
    if not isinstance(name, str):
        return json.dumps(line, ensure_ascii=False)
    needed = line.get("requiredQuantity", line)
    if not isinstance(needed, dict):
        return _joined(needed, None, name)
    unit = needed.get("unitText") or _UNIT_CODES.get(str(needed.get("unitCode")))
    return _joined(needed.get("value"), unit or needed.get("unitCode"), name)


def _with_sections(lines: Sequence[Written]) -> Iterator[Written]:
    """Yield the lines with those of sections after their heading."""
    for line in lines:
        items = _items_of(line)
        if items is None or not isinstance(line, dict):
            yield line
            continue
        name = line.get("name")
        if isinstance(name, str) and name.strip():
            yield f"{name.strip().rstrip(':')}:"
        for item in items:
            if isinstance(item, str | dict):
                yield item.get("text", item) if isinstance(item, dict) else item
            else:
                yield json.dumps(item)


def _items_of(line: Written) -> list[Any] | None:
    if isinstance(line, str):
        return None
    for member in ("itemListElement", "recipeIngredient"):
        if isinstance(line.get(member), list):
            return list(line[member])
    return None


def words_in(value: Any) -> str | None:
    """Return the text that `value` stands for, or None."""
    if isinstance(value, list) and value:
        value = value[0]
    if isinstance(value, dict):
        value = value.get("@value", value.get("value"))
    return value if isinstance(value, str) and value else None


def _joined(quantity: Any, unit: Any, name: Any) -> str:
    if isinstance(quantity, float) and quantity.is_integer():
        quantity = int(quantity)
    shown = "" if unit == "each" else str(unit or "").replace("_", " ")
    parts = ["" if quantity is None else str(quantity), shown, str(name)]
    return html.unescape(" ".join(part for part in parts if part)).strip()
