"""The ways of a dough, and what a tray of one is worth: against the recipe weighed anew, and what
must hold of any value of information."""

import numpy as np
import pytest

from models.brief import RecipeToWeigh
from models.formula import Formula
from models.recipe import Recipe, TextLine
from models.target import Target
from service.questions.way_words import recipe_of_way
from solver.kitchen.ways import Ways
from solver.kitchen.worth import CLOSER, SAFER, Belief, candidates, judged_after
from solver.mechanics.chance import crack_percent
from solver.mechanics.dough import substances_of
from solver.mechanics.lessons import learn
from solver.next_bake import advise
from tests.simulated_tasks import TRUTHS, tasks

LINES = (
    "3 1/2 cups all-purpose flour",
    "1 cup (227 g) unsalted butter",
    "1 egg",
    "3/4 cup packed brown sugar",
    "1/3 cup molasses",
    "1 1/2 tsp baking soda",
)
ASKED = RecipeToWeigh(recipe=Recipe(lines=tuple(TextLine(text=line) for line in LINES)))
TARGET = Target.model_validate(
    {
        "form": {"kind": "cylinder", "diameter_mm": 70.0, "wrap_degrees": 150.0},
        "thickness_mm": 5.0,
        "may_roll_to_mm": 2.5,
    }
)


@pytest.fixture(scope="module")
def ways():
    return Ways(ASKED.formula, TARGET)


@pytest.fixture(scope="module")
def belief(ways):
    """What a kitchen believes in which nothing was baked."""
    return Belief(ways, learn(()))


def test_the_first_way_is_the_recipe_as_written(ways):
    """It costs nothing, and every other costs something."""
    first = ways.ways[0]
    assert (first.leavening, first.flour, first.swapped, first.chilled) == (1, 1, False, False)
    assert first.thickness_mm == TARGET.thickness_mm
    assert ways.costs[0] == 0
    assert (ways.costs[1:] > 0).all()


def test_a_way_is_the_dough_that_its_recipe_weighs(ways):
    """What a way is taken to be made of is what its recipe weighs, edited line by line and read
    anew, to a ten-thousandth of the solids."""
    for at in range(0, len(ways.ways), 37):
        recipe = recipe_of_way(ASKED, ways.ways[at])
        weighed = substances_of(Formula.from_recipe(recipe))
        mine = np.array([column[at] for column in ways.substances])
        assert mine == pytest.approx(np.array(weighed), abs=1e-4 * weighed.solids)


def test_a_way_has_the_chance_that_any_answer_gives(ways, belief):
    """By the sheet's own draws the chance of a way is that of its recipe asked any other way, to a
    twentieth of a point."""
    sheet = belief.z[:512]
    for at in range(0, len(ways.ways), 61):
        way = ways.ways[at]
        target = TARGET.rolled(way.thickness_mm, chilled=way.chilled)
        asked = crack_percent(Formula.from_recipe(recipe_of_way(ASKED, way)), target)
        chance = 100 * (1 / (1 + np.exp(-sheet[:, at]))).mean()
        assert chance == pytest.approx(asked, abs=0.05)


def test_the_classes_of_a_tray_are_all_that_may_happen(belief, ways):
    """For every draw their likelihoods add up to one."""
    asked = np.array([0, len(ways.ways) // 2, len(ways.ways) - 1])
    for at, more in zip(asked, belief._grows_more(asked), strict=True):
        assert belief._classes(at, more).sum(axis=0) == pytest.approx(1, abs=1e-9)


def test_knowing_more_never_costs(belief, ways):
    """Whatever a tray may show, choosing after it loses no more than choosing now."""
    losses = belief.losses(SAFER, np.ones(len(ways.ways), bool))
    judged = judged_after(belief, losses)
    worths = belief.worths_of_trays(candidates(belief, losses), SAFER, judged)
    assert (worths >= -1e-12).all()


def test_leaning_closer_costs_no_more_and_is_no_surer(belief, ways):
    """The way of least loss costs at most as much, and is at most as likely to hold."""
    allowed = np.ones(len(ways.ways), bool)
    closer, safer = (int(np.argmin(belief.losses(one, allowed))) for one in (CLOSER, SAFER))
    assert ways.costs[closer] <= ways.costs[safer]
    assert belief.likely[closer] <= belief.likely[safer]


def test_a_bake_too_dear_is_not_asked_for():
    """Where the way of least loss was itself on a good tray and no tray is worth its bake, the
    recipe is to be published; where a bake costs nothing, another one is always worth it."""
    task = next(tasks(TRUTHS[0], 1000))
    for _ in range(6):
        advice = advise(task.ways, learn(task.trials), SAFER)
        if advice.decision != "bake":
            break
        at = task.ways.places[advice.way.dough, advice.way.thickness_mm]
        task.bake({at: 2, **{one: 1 for one in task.ways.tray_of(at) if one != at}})
    assert advice.decision == "publish"
    assert advice.worth < SAFER.bake
    free = CLOSER.__class__(penalty=SAFER.penalty, bake=0.0)
    assert advise(task.ways, learn(task.trials), free).decision == "bake"
