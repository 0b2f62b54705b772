"""How recipes as people write them are read: rates on our own lines, and lines a second.

Printed, never asserted. The lines were judged by hand; on those that nobody wrote rules for the
rates are lower.
"""

import csv
import time
from collections import Counter
from pathlib import Path

import pytest

from models.pantry import known_pantry
from models.reading.aside import SetAside, understand_line
from service.reading.recipe_text import RecipeText, read_recipe
from tests.models.reading.whole_recipes import pasted_recipes

TABLE = Path(__file__).parents[1] / "models" / "reading" / "lines_as_published.tsv"
RECIPES_READ = 10_000

pytestmark = pytest.mark.benchmark


def judged_lines():
    """Yield each line with its ingredient and grams, or why it is set aside, and its doubt."""
    rows = csv.DictReader(
        TABLE.read_text("utf-8").splitlines(), delimiter="\t", quoting=csv.QUOTE_NONE
    )
    for row in rows:
        yield row["line"], f"{row['meant']} {row['grams']}".strip(), row["doubt"]


def told(text):
    """Return what a line is taken for, and its doubt."""
    read = understand_line(text, known_pantry())
    if isinstance(read, SetAside):
        return read.aside.code, ""
    doubt = read.uncertain.code if read.uncertain else ""
    return f"{read.ingredient.name} {float(read.amount.grams):.6g}", doubt


def test_rates_of_lines(capsys):
    """Prints how many of our own lines are right, refused, silently wrong or doubted for"
    " nothing."""
    tally = Counter()
    for text, meant, doubt in judged_lines():
        said, doubted = told(text)
        tally["lines"] += 1
        tally["right"] += said == meant
        tally["refused"] += said == "unread"
        tally["silently wrong"] += said not in (meant, "unread") and not doubted
        tally["doubted without need"] += said == meant and bool(doubted) and not doubt
    with capsys.disabled():
        print(f"\n{tally['lines']} lines judged by hand")
        for what in ("right", "refused", "silently wrong", "doubted without need"):
            print(f"  {what:22} {100 * tally[what] / tally['lines']:6.2f} %")


def test_rates_of_recipes(capsys):
    """Prints how many of our own recipes are answered with no line refused."""
    pasted = pasted_recipes()
    whole = sum(1 for one in pasted if not read_recipe(RecipeText(text=one.text)).unread)
    with capsys.disabled():
        print(
            f"\n{len(pasted)} recipes pasted: {100 * whole / len(pasted):.1f} % without a refusal"
        )


def test_lines_a_second(capsys):
    """Prints lines read a second on one core, no line ever seen before."""
    pasted = pasted_recipes()
    texts = [
        "\n".join(f"{text} {n}" if text.strip() and n % 2 else text for text, _ in one.lines)
        for n in range(RECIPES_READ // len(pasted))
        for one in pasted
    ]
    understand_line.cache_clear()
    started = time.process_time()
    lines = sum(len(read_recipe(RecipeText(text=text)).lines) for text in texts)
    took = time.process_time() - started
    with capsys.disabled():
        print(f"\n{len(texts)} recipes, {lines} lines: {lines / took:,.0f} lines a second")
