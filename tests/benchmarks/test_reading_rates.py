"""How recipes as people write them are read: rates on our own lines, and lines a second.

Printed, never asserted. The lines were judged by hand; on those that nobody wrote rules for the
rates are lower.
"""

import csv
import re
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
    """Yield each row: the line, what is meant (an ingredient, or why it is set aside), its grams,
    its doubt."""
    yield from csv.DictReader(
        TABLE.read_text("utf-8").splitlines(), delimiter="\t", quoting=csv.QUOTE_NONE
    )


def told(text):
    """Return what a line is taken for with its grams, its doubt, and the food counted."""
    read = understand_line(text, known_pantry())
    if isinstance(read, SetAside):
        return read.aside.code, "", None
    doubt = read.uncertain.code if read.uncertain else ""
    return f"{read.ingredient.name} {float(read.amount.grams):.6g}", doubt, read.ingredient


def is_dangerous(meant, counted):
    """Tell whether an allergen of what is meant is lost, or one invented."""
    truth = known_pantry().find(meant)
    if truth is None or counted is None:
        return False
    return set(counted.allergens_eu or ()) != set(truth.allergens_eu or ())


def tally_of_lines():
    tally = Counter()
    for row in judged_lines():
        meant = f"{row['meant']} {row['grams']}".strip()
        said, doubted, counted = told(row["line"])
        tally["lines"] += 1
        tally["right or rightly set aside"] += said == meant
        tally["silently wrong"] += said not in (meant, "unread") and not doubted
        tally["dangerous"] += is_dangerous(row["meant"], counted)
        tally["right"] += said == meant and counted is not None
        tally["doubted"] += said == meant and bool(doubted) and not row["doubt"]
    return tally


def test_rates(capsys):
    """Prints the table of rates: lines right, silently wrong, dangerous, doubted for nothing, and
    recipes without a refusal."""
    tally = tally_of_lines()
    pasted = pasted_recipes()
    whole = sum(not read_recipe(RecipeText(text=one.text)).unread for one in pasted)
    rows = [
        (f"{what} of {tally['lines']} lines", tally[what] / tally["lines"], target)
        for what, target in (
            ("right or rightly set aside", "at least 97"),
            ("silently wrong", "at most 0.3"),
            ("dangerous", "0"),
        )
    ]
    doubted = tally["doubted"] / tally["right"]
    rows += [
        (
            f"answered without a refusal of {len(pasted)} recipes",
            whole / len(pasted),
            "at least 95",
        ),
        (f"doubted without need of {tally['right']} right lines", doubted, "at most 5"),
    ]
    with capsys.disabled():
        print()
        for what, share, target in rows:
            print(f"  {what:52} {100 * share:7.2f} %   target {target} %")


def with_another_number(text, added):
    """Return a line with its first number another one, so that nobody has read it before."""
    return re.sub(r"\d{1,3}", lambda found: str(int(found[0]) + added), text, count=1)


def test_lines_a_second(capsys):
    """Prints lines read a second on one core, no amount of a food read twice."""
    pasted = pasted_recipes()
    texts = [
        "\n".join(with_another_number(text, n) for text, _ in one.lines)
        for n in range(RECIPES_READ // len(pasted))
        for one in pasted
    ]
    understand_line.cache_clear()
    started = time.process_time()
    lines = sum(len(read_recipe(RecipeText(text=text)).lines) for text in texts)
    took = time.process_time() - started
    with capsys.disabled():
        print(f"\n  {len(texts)} recipes, {lines} lines: {lines / took:,.0f} lines a second")
        print("  target at least 1,500 lines a second a core")
