"""Whole recipes as people paste them, invented, each line with what it means, judged by hand.

Common practice, no source. In `whole_recipes.tsv` a recipe opens with its name, language, title and
what it makes; after the last tab of a line stands its ingredient with the grams, or why it is set
aside.
"""

from pathlib import Path
from typing import NamedTuple


class PastedRecipe(NamedTuple):
    """A recipe as it was pasted, and what is true of it."""

    name: str
    language: str
    title: str
    makes: str
    lines: tuple[tuple[str, str], ...]

    @property
    def text(self) -> str:
        """What was pasted."""
        return "\n".join(text for text, _ in self.lines)


def pasted_recipes() -> list[PastedRecipe]:
    """Return all of them."""
    content = Path(__file__).with_name("whole_recipes.tsv").read_text("utf-8")
    found = []
    for section in content.split("=== ")[1:]:
        head, *rows = section.rstrip("\n").split("\n")
        name, language, title, makes = (cell.strip() for cell in head.split("|", 3))
        lines = tuple(tuple(row.rpartition("\t")[::2]) for row in rows)
        found.append(PastedRecipe(name, language, title, makes, lines))
    return found
