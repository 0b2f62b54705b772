"""Bake sheets: a small batch that can be measured, what is held equal, and what alone differs."""

import json
import math
import re

import pytest

from models.errors import BadInput
from models.formula import Formula
from models.recipe import Recipe
from models.target import Target
from models.template import template
from service.questions.question import BAKE_SHEET

LINES = [
    "3 1/2 cups all-purpose flour",
    "1 cup (227 g) unsalted butter",
    "1 egg",
    "3/4 cup packed brown sugar",
    "1/3 cup molasses",
    "1 1/2 tsp baking soda",
    "1 tbsp ground ginger",
    "1/2 tsp salt",
]
GINGER = {"title": "Lantern ginger dough", "lines": [{"text": line} for line in LINES]}
DRUM = {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150}
TARGET = {"form": DRUM, "thickness_mm": 4, "may_roll_to_mm": 2}


def planned(**members):
    body = {"recipe": GINGER, "target": TARGET, **members}
    return json.loads(BAKE_SHEET.respond(json.dumps(body).encode(), lambda: 20.0))


@pytest.fixture(scope="module")
def sheet():
    """The smallest change of the lantern dough, four pieces a tray."""
    return planned(log_address="http://localhost:8000/kitchens/kit_1/log")


def test_the_batch_is_enough_and_small(sheet):
    """Each dough is what its pieces take, a sixth more for trimmings, and a round of 60 mm, by the
    template's own weight; the batch is no more than half of the recipe."""
    for name in ("control", "variant"):
        batch = sheet[name]
        rolled = batch["target"]["thickness_mm"]
        target = Target.model_validate({"form": DRUM, "thickness_mm": rolled})
        pieces = 4 * template(target).dough_grams_per_piece
        volume_cm3 = math.pi * 3**2 * target.thickness_mm / 10
        least = 1.15 * pieces + 1.1 * volume_cm3
        assert batch["dough_grams"] >= least
    assert sheet["batch_factor"] <= 0.5


def test_what_was_counted_is_counted(sheet):
    """An egg comes out as wholes, a yolk or a white, everything else in spoons and cups as it was
    written; and the amounts keep the recipe's own shares to within 4 in a hundred."""
    grams = {line["ingredient"]: line["grams"] for line in sheet["control"]["lines"]}
    measures = {line["ingredient"]: line["measure"] for line in sheet["control"]["lines"]}
    assert re.fullmatch(r"\d+ eggs?|(\d+ eggs? \+ )?1 (yolk|white)", measures["egg"])
    assert not any(measure.endswith(" g") for measure in measures.values())
    formula = Formula.from_recipe(Recipe.model_validate(GINGER, strict=False))
    whole = {line.name: float(line.grams) for line in formula.lines}
    share = grams["all-purpose flour"] / whole["all-purpose flour"]
    for name in ("unsalted butter", "brown sugar", "molasses"):
        assert grams[name] / whole[name] == pytest.approx(share, rel=0.04)


def test_only_what_is_named_differs(sheet):
    """Every line whose measure differs is marked on both sides and named, with the thickness; no
    other is."""
    before, after = (
        {line["ingredient"]: line for line in sheet[name]["lines"]}
        for name in ("control", "variant")
    )
    changed = {name for name in before if before[name]["measure"] != after[name]["measure"]}
    for lines in (before, after):
        assert {name for name, line in lines.items() if line["differs"]} == changed
    said = " ".join(sheet["differs"])
    assert all(name in said for name in changed)
    assert sheet["control"]["thickness"] in said
    assert len(sheet["differs"]) == len(changed) + 1
    assert sheet["variant"]["chance_percent"]["value"] < sheet["control"]["chance_percent"]["value"]


def test_the_page_has_all_that_the_bench_needs(sheet):
    """Printed: every measure of both doughs, each grade in words, a row of boxes for each of eight
    pieces, a place for both rounds, and a code."""
    text = re.sub(r"<[^>]+>", " ", sheet["svg"])
    for name in ("control", "variant"):
        for line in sheet[name]["lines"]:
            assert line["measure"] in text
    for word in ("hairlines", "fell apart", "could not be shaped", "not good to eat", "centred"):
        assert word in text
    assert len(re.findall(r"Piece \d", text)) == 8
    assert text.count("Round: cut") == 2
    assert "Log it here" in text
    assert "One good piece proves little" in text


def test_a_variant_of_ones_own_is_planned(sheet):
    """Another recipe or another sheet is set beside the recipe as written, in the same batch."""
    less = [line.replace("1 1/2 tsp", "1 tsp") for line in LINES]
    own = planned(variant={"recipe": {"lines": [{"text": line} for line in less]}})
    assert (
        own["differs"] == ["baking soda: 1/4 tsp instead of 1/2 tsp."] or len(own["differs"]) == 1
    )
    thin = planned(variant={"thickness_mm": 3, "chilled": True})
    assert [thing.split()[0] for thing in thin["differs"]] == ["Rolled", "Chilled"]


def test_where_nothing_will_do_it_says_so():
    """A brief that no change meets is planned without a variant, with what stands in the way."""
    limits = {"keep": ["all-purpose flour", "unsalted butter", "baking soda", "egg", "molasses"]}
    target = {"form": DRUM, "thickness_mm": 6}
    window = {"crack_chance_percent": {"max": 1}}
    none = planned(limits=limits, target=target, window=window)
    assert none["variant"] is None
    assert none["notes"][0].startswith("No change will do")


@pytest.mark.parametrize(
    ("members", "where"),
    [
        ({"target": None, "window": {}}, "/target"),
        ({"batch": {"factor": 2}}, "/batch"),
        ({"pieces": 0}, "/pieces"),
        ({"pieces": 13}, "/pieces"),
        ({"log_address": "javascript:alert(1)"}, "/log_address"),
        ({"variant": {"recipe": {"lines": [{"text": "1 cup sugar"}]}}}, "/variant/recipe/lines"),
        ({"kitchen": "nowhere"}, "/kitchen"),
    ],
)
def test_what_cannot_be_planned_is_refused(members, where):
    """Each fault stands where it is; a batch of one's own is not for a bake sheet."""
    with pytest.raises(BadInput) as refused:
        planned(**members)
    assert [fault.pointer for fault in refused.value.faults] == [where]
