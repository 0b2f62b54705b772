"""A kitchen's knowledge reaches every front door of the solver."""

from models.ladder import LadderBrief
from models.learning import Taught
from models.recipe import Recipe, TextLine
from models.target import Target
from solver.ladder import climb
from solver.mechanics.calibrate import untaught
from solver.mechanics.chance import crack_percent

LINES = ("2 cups flour", "1/2 cup butter", "2/3 cup sugar", "1 egg")
DOUGH = Recipe(lines=tuple(TextLine(text=line) for line in LINES))
DRUM = {"kind": "cylinder", "diameter_mm": 80.0, "wrap_degrees": 150.0}


def taught(crack_strain_sd):
    """A kitchen that knows how its doughs crack and nothing else."""
    middle, spread = untaught().middle.copy(), untaught().spread.copy()
    middle[13], spread[13, 13] = crack_strain_sd, 0.1
    return Taught(
        kitchen_id="kit_1",
        trials=4,
        pieces=12,
        rounds=0,
        tally_share=0.1,
        middle=tuple(middle.tolist()),
        spread=tuple(map(tuple, spread.tolist())),
    )


def test_a_ladder_is_climbed_by_what_the_kitchen_knows():
    """Where doughs bear less than most, the ladder starts from a higher chance, and says what an
    untried kitchen's would be."""
    target = Target.model_validate({"form": DRUM, "thickness_mm": 5.0})
    brief = LadderBrief(recipe=DOUGH, target=target, kitchen="kit_1")
    ladder = climb(brief.taught_by(taught(-2.0)), lambda: 0.0)  # no time for any rung
    assert ladder.kitchen.untried_percent.before == crack_percent(brief.formula, target)
    assert ladder.kitchen.trials == 4
    assert ladder.sensitivity.chance.percent > ladder.kitchen.untried_percent.before + 10
    assert climb(brief, lambda: 0.0).kitchen is None
