"""A batch of pieces is as large as its changed dough must be, and no larger than it need be."""

import math
import random

import pytest

from models.errors import RecheckFailed
from solver.answers.recheck import recheck
from solver.reformulate import reformulate
from tests.conftest import brief_of
from tests.generated_recipes import generated_recipe

ROLLED_4_MM = {
    "form": {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150, "length_mm": 105},
    "thickness_mm": 4,
}


def of_pieces(seed: int):
    """A generated dough, without eggs now and then, for some pieces of a cylinder."""
    rng = random.Random(f"pieces {seed}")
    recipe = generated_recipe(seed)
    if seed % 3 == 0:
        recipe["lines"] = [x for x in recipe["lines"] if not x["ingredient"].startswith("egg")]
    return {
        "recipe": recipe,
        "target": {**ROLLED_4_MM, **rng.choice([{}, {"may_roll_to_mm": 2.5}])},
        "window": {"flour_to_fat": {"min": rng.choice([1.6, 2])}},
        "batch": {"pieces": rng.choice([1, 2, 7, 30, 150])},
        "measures": rng.choice(["us", "scale", "metric", "as_written"]),
    }


@pytest.mark.parametrize("seed", range(16))
def test_the_changed_dough_is_enough_and_hardly_more(seed):
    """The dough after the change covers area × thickness × 1.26 g/cm³ of every piece and trimmings;
    without eggs it is within a fifth of that, with eggs they start out whole."""
    brief = of_pieces(seed)
    outcome = reformulate(brief_of(brief))
    assert outcome.outcome in {"reformulated", "unchanged"}
    middle = 40 + outcome.target.after.thickness_mm / 2
    wide, high = math.radians(150) * middle, 105
    grams = wide * high * outcome.target.after.thickness_mm / 1000 * 1.26
    needed = brief["batch"]["pieces"] * grams * 1.15
    dough = sum(line.after.grams for line in outcome.lines)
    assert outcome.pieces.grams_per_piece == pytest.approx(grams, rel=1e-9)
    assert outcome.pieces.needed_grams == pytest.approx(needed, rel=1e-9)
    assert outcome.pieces.enough_for == math.floor(dough / (1.15 * grams) + 1e-9)
    assert dough >= needed * (1 - 1e-9)
    if seed % 3 == 0:
        assert dough <= 1.2 * needed
    eggs = sum(x.before.grams for x in outcome.lines if x.ingredient == "egg") / 50
    assert eggs == pytest.approx(round(eggs), abs=1e-9)


def test_a_tray_holds_what_lies_side_by_side():
    """Pieces of 110 by 105 mm, 10 mm apart: five by three on 600 by 400 mm, either way round."""
    outcome = reformulate(brief_of(of_pieces(1)))
    middle = 40 + outcome.target.after.thickness_mm / 2
    wide = math.radians(150) * middle
    assert 5 * wide + 4 * 10 <= 600
    assert 4 * min(wide, 105) + 3 * 10 > 400
    assert outcome.pieces.trays[0].pieces == 15


@pytest.mark.parametrize(
    "changed",
    [
        {"pieces": 31},
        {"grams_per_piece": 50.0},
        {"trimmings_percent": 10.0},
        {"needed_grams": 1.0},
        {"dough_grams": 1e5},
        {"enough_for": 3},
        {"enough_for": 3000},
        {"trays": "one more"},
    ],
)
def test_what_is_said_of_the_pieces_is_weighed_again(changed):
    """Each figure, told otherwise, is refused."""
    asked = brief_of(of_pieces(1))
    outcome = reformulate(asked)
    if "trays" in changed:
        first, *rest = outcome.pieces.trays
        changed = {"trays": (first.model_copy(update={"pieces": first.pieces + 1}), *rest)}
    pieces = outcome.pieces.model_copy(update=changed)
    with pytest.raises(RecheckFailed):
        recheck(asked, outcome.model_copy(update={"pieces": pieces}))
    with pytest.raises(RecheckFailed):
        recheck(asked, outcome.model_copy(update={"pieces": None}))


def test_a_batch_that_is_too_small_for_its_pieces_is_refused():
    """The dough of one piece does not pass for thirty."""
    few = {**of_pieces(1), "batch": {"pieces": 1}}
    many = {**few, "batch": {"pieces": 30}}
    outcome = reformulate(brief_of(few))
    said = outcome.pieces.model_copy(update={"pieces": 30})
    said = said.model_copy(update={"needed_grams": 30 * said.needed_grams})
    with pytest.raises(RecheckFailed, match="not enough for 30 pieces"):
        recheck(brief_of(many), outcome.model_copy(update={"pieces": said}))


def test_a_tenth_of_an_egg_is_weighed(lantern):
    """Five grams of egg come in no yolk of 17 g and no egg of 50 g: they are beaten and weighed."""
    outcome = reformulate(brief_of({**lantern, "window": {}, "batch": {"factor": 0.1}}))
    egg = outcome.lines[2]
    assert (egg.before.grams, egg.after.grams, egg.after.measure) == (5, 5, "5 g")
    assert outcome.outcome == "unchanged"


def test_a_dough_without_leavening_has_a_range_of_soda(lantern):
    """Soda up to the end of the range keeps the chance; a little more does not."""
    lines = [x for x in lantern["recipe"]["lines"] if x["ingredient"] != "baking soda"]
    asked = {"recipe": {"lines": lines}, "target": ROLLED_4_MM}
    within = reformulate(brief_of(asked)).form.ranges["soda_equivalent_percent"]
    assert within.max is not None

    def chance(soda_percent: float) -> float:
        soda = {"ingredient": "baking soda", "quantity": soda_percent / 100 * 437.5, "unit": "g"}
        judged = {**asked, "recipe": {"lines": [*lines, soda]}, "window": {"flour_to_fat": {}}}
        return reformulate(brief_of(judged)).form.before.percent

    assert chance(within.max) <= 20 < chance(1.02 * within.max)
