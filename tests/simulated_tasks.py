"""Simulated tasks at the bench: a dough that cracks on its form, a kitchen whose truth is hidden,
and the ways in which a baker may go about it.

Four truths: the belief's own; the same badly shifted (cracks at 1.5 standard deviations less
strain, growth 1.5 more); another mechanism (the sheet tears where bending meets rise, and flow
plays no part); and none (a straight line in what a baker can change, of sizes drawn at random, with
every tenth sign the wrong way round). Batches and pieces scatter on top, growth is measured with
its error. A way holds if its true chance of a crack that shows is under 15 %; so much flour as the
ways allow can always be shaped.
"""

import copy
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

import numpy as np
from scipy.special import expit, logit

from models.formula import Formula
from models.pantry import known_pantry
from models.recipe import MeasuredLine, Recipe
from models.target import Target
from models.trial import FlatRoundMeasured, Piece, Trial, TrialSheet
from solver.kitchen.ways import Way, Ways
from solver.kitchen.worth import HOLDS_BELOW
from solver.mechanics.belief import Draws
from solver.mechanics.dough import gas_percent
from solver.mechanics.evidence import (
    BATCH_SHARE,
    COEFFICIENTS,
    LOGISTIC_SD,
    draws_at,
    growths_mm,
    strain_scores,
)
from solver.mechanics.trays import RoundSeen

TRUTHS = ("belief true", "belief shifted", "wrong mechanism", "no mechanics")
FORMS = ((60.0, 140.0), (70.0, 150.0), (80.0, 150.0))
PLANNED_MM, THINNEST_MM = 5.0, 2.5
CRACKS_AS_WRITTEN = 0.35
"""The least chance of a crack as written that makes a task."""


@dataclass
class Task:
    """One dough to be brought to hold, and what the kitchen really does with each way."""

    recipe: Recipe
    target: Target
    ways: Ways
    z: np.ndarray
    grown_mm: np.ndarray
    gap: float
    chances: np.random.Generator
    trials: list[Trial] = field(default_factory=list)

    @property
    def holds(self) -> np.ndarray:
        """Which ways hold."""
        return np.asarray(expit(self.z) < HOLDS_BELOW)

    @property
    def least_cost(self) -> float:
        """The cheapest way that holds; without end where none does."""
        return float(np.where(self.holds, self.ways.costs, np.inf).min())

    def afresh(self) -> "Task":
        """Return the same task before anybody baked at it; luck is the same for whoever begins."""
        return replace(self, chances=copy.deepcopy(self.chances), trials=list(self.trials))

    def bake(self, pieces: dict[int, int], *, with_round: bool = True) -> Trial:
        """Bake so many pieces of each way of one dough on a tray, and return what became of it."""
        shared = LOGISTIC_SD * np.sqrt(BATCH_SHARE) * self.chances.normal()
        own = np.sqrt(1 - BATCH_SHARE)
        sheets = tuple(
            TrialSheet(
                thickness_mm=self.ways.ways[at].thickness_mm,
                pieces=tuple(self._piece(self.z[at] + shared, own) for _ in range(count)),
            )
            for at, count in pieces.items()
        )
        first = next(iter(pieces))
        way = self.ways.ways[first]
        measured = None
        if with_round:
            m = float(self.grown_mm[first])
            grew = m + np.hypot(0.5, 0.2 * m) * float(self.chances.normal())
            after = float(np.clip(60 + grew, 50, 175))
            measured = FlatRoundMeasured(thickness_mm=way.thickness_mm, after_mm=after)
        trial = Trial.model_validate(
            {
                "recipe": recipe_of(self.recipe, way),
                "form": self.target.form,
                "chilled": way.chilled,
                "sheets": sheets,
                "flat_round": measured,
            }
        )
        self.trials.append(trial)
        return trial

    def _piece(self, z: float, own: float) -> Piece:
        damage = z + own * self.chances.logistic()
        steps = damage + self.gap * np.array([1, 0, -1, -2])
        return Piece(crack_grade=int((steps > 0).sum()))


def recipe_of(recipe: Recipe, way: Way) -> Recipe:
    """Return the recipe of a way, in grams."""
    shortening = known_pantry().find("vegetable shortening")
    assert shortening is not None
    lines = []
    for line in Formula.from_recipe(recipe).lines:
        grams, name = float(line.grams), line.name
        if line.role == "leavener":
            grams *= way.leavening
        elif line.role == "flour":
            grams *= way.flour
        elif way.swapped and line.ingredient.fat_kind == "butter":
            grams *= float(line.ingredient.fat_share / shortening.fat_share)
            name = shortening.name
        lines.append(MeasuredLine(ingredient=name, quantity=grams, unit="g"))
    return Recipe(lines=tuple(lines))


def tasks(truth: str, first_seed: int) -> Iterator[Task]:
    """Yield tasks of one truth for ever, each from a seed of its own; as written, each cracked."""
    seed = first_seed
    while True:
        task = _drawn(truth, np.random.default_rng(seed))
        seed += 1
        if expit(task.z[0]) > CRACKS_AS_WRITTEN:
            task.trials.append(_cracked(task))
            yield task


def _cracked(task: Task) -> Trial:
    """Return the piece as written that sent the baker here."""
    sheet = TrialSheet(thickness_mm=PLANNED_MM, pieces=(Piece(crack_grade=3),))
    return Trial(recipe=task.recipe, form=task.target.form, sheets=(sheet,))


def _drawn(truth: str, chances: np.random.Generator) -> Task:
    between = chances.uniform
    grams = {
        "all-purpose flour": 440.0,
        "unsalted butter": between(150, 230),
        "brown sugar": between(100, 200),
        "molasses": between(0, 120),
        "egg": between(30, 60),
        "baking soda": between(2, 8),
    }
    lines = [
        MeasuredLine(ingredient=name, quantity=round(float(g), 1), unit="g")
        for name, g in grams.items()
    ]
    recipe = Recipe(lines=tuple(lines))
    diameter, wrap = FORMS[chances.integers(len(FORMS))]
    form = {"kind": "cylinder", "diameter_mm": diameter, "wrap_degrees": wrap}
    target = Target.model_validate(
        {"form": form, "thickness_mm": PLANNED_MM, "may_roll_to_mm": THINNEST_MM}
    )
    ways = Ways(Formula.from_recipe(recipe), target)
    scores = chances.normal(size=(COEFFICIENTS, 1))
    if truth == "belief shifted":
        scores[Draws._fields.index("crack_strain")] -= 1.5
        scores[Draws._fields.index("ln_growth")] += 1.5
    draws = draws_at(scores)
    z = strain_scores(ways.plans, draws)[0][0]
    if truth == "wrong mechanism":
        z = _torn(ways, z[0], chances)
    elif truth == "no mechanics":
        z = _straight(ways, chances)
    seen = RoundSeen(
        tray=np.arange(len(z)),
        substances=ways.substances,
        chilled=ways.plans.chilled,
        diameter_mm=np.full(len(z), 60.0),
        thickness_mm=ways.plans.thickness_mm,
        grew_mm=np.zeros(len(z)),
    )
    return Task(
        recipe=recipe,
        target=target,
        ways=ways,
        z=z,
        grown_mm=growths_mm(seen, draws)[0],
        gap=float(draws.grade_gap[0, 0]),
        chances=chances,
    )


def _torn(ways: Ways, as_written: float, chances: np.random.Generator) -> np.ndarray:
    """A sheet that tears where bending meets rise: z goes with ln(bend × (1 + gas)²)."""
    gas = gas_percent(ways.substances, 0.7)
    tears = np.log(ways.plans.bend) + 2 * np.log1p(gas)
    steep = float(np.exp(chances.normal(np.log(5), 0.4)))
    level = logit(chances.uniform(0.4, 0.98))
    return np.asarray(level + steep * (tears - tears[0]))


def _straight(ways: Ways, chances: np.random.Generator) -> np.ndarray:
    """Cracks that go by what the baker changes, in a straight line, some of it the wrong way."""
    done = np.array(
        [
            [
                1 - way.leavening,
                (way.flour - 1) / 0.3,
                float(way.swapped),
                float(way.chilled),
                (PLANNED_MM - way.thickness_mm) / (PLANNED_MM - THINNEST_MM),
            ]
            for way in ways.ways
        ]
    )
    sizes = np.exp(chances.normal(np.log([2.0, 1.5, 0.5, 0.5, 2.0]), 0.6))
    signs = np.where(chances.random(5) < 0.1, 1.0, -1.0)
    level = logit(chances.uniform(0.4, 0.98))
    return np.asarray(level + done @ (signs * sizes))


Policy = Callable[[Task], tuple[int | None, int]]
"""Bakes at a task; returns the way that it names (none where it gives up) and its bakes."""


def place_of(task: Task, leavening: float, flour: float, thickness_mm: float) -> int:
    """Return where a way of butter, not chilled, stands."""
    return task.ways.places[(leavening, flour, False, task.target.chilled), thickness_mm]


def all_good(trial: Trial) -> bool:
    """Tell whether every piece of a tray is good."""
    return all(piece.crack_grade <= 1 for sheet in trial.sheets for piece in sheet.pieces)


def climbing(rungs: list[tuple[float, float, float]], trays: int) -> Policy:
    """Return the policy that bakes four pieces of each rung (leavening, flour, thickness) in turn
    and names the first of which `trays` trays in a row were all good; else the last."""

    def policy(task: Task) -> tuple[int | None, int]:
        bakes, at = 0, 0
        for rung in rungs:
            at = place_of(task, *rung)
            for good in range(1, trays + 1):
                bakes += 1
                if not all_good(task.bake({at: 4}, with_round=False)):
                    break
                if good == trays:
                    return at, bakes
        return at, bakes

    return policy


def one_change_ladder(thicknesses_mm: tuple[float, ...]) -> Policy:
    """One change more at each rung: thinner step by step, then less leavening, then more flour;
    named by two all-good trays of four pieces."""
    thinnest = thicknesses_mm[-1]
    rungs = [(1.0, 1.0, t) for t in thicknesses_mm]
    rungs += [(leavening, 1.0, thinnest) for leavening in (0.75, 0.5, 0.25, 0.0)]
    rungs += [(0.0, flour, thinnest) for flour in (1.05, 1.1, 1.15, 1.2, 1.25, 1.3)]
    return climbing(rungs, 2)


def big_steps(thickness_mm: float, trays: int) -> Policy:
    """A big step in everything at once, and a bigger one: half the leavening and a tenth more
    flour, a quarter and two tenths, none and three tenths."""
    rungs = [(0.5, 1.1, thickness_mm), (0.25, 1.2, thickness_mm), (0.0, 1.3, thickness_mm)]
    return climbing(rungs, trays)


def jump(thickness_mm: float) -> Policy:
    """Name the first big step and bake nothing."""
    return lambda task: (place_of(task, 0.5, 1.1, thickness_mm), 0)


def at_random(task: Task) -> tuple[int | None, int]:
    """Bake four pieces of ways drawn by lot until a tray is all good; eight at the most."""
    at = 0
    for bakes in range(1, 9):
        at = int(task.chances.integers(len(task.ways.ways)))
        if all_good(task.bake({at: 4}, with_round=False)):
            return at, bakes
    return at, 8
