"""Simulated kitchens: a truth drawn from the belief, its trays, and pieces kept back to judge by.

What a kitchen does is worked out by `solver.mechanics.chance`, draw by draw, not by what learns
from it; batches and pieces scatter in ways that the learner is not told of.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import expit

from models.recipe import MeasuredLine, Recipe
from models.trial import Piece, Trial, TrialSheet
from solver.mechanics.belief import Draws, draws_of
from solver.mechanics.chance import excess, law_of
from solver.mechanics.dough import substances_of

BATCH_LN_GROWTH, BATCH_STRAIN = 0.2, 0.02
"""How much mixings and bakes scatter about a kitchen's own coefficients."""
FORMS = ((60.0, 140.0), (70.0, 150.0), (80.0, 150.0), (100.0, 160.0))
SHEETS_MM = (3.2, 4.0, 4.4, 4.8, 5.2)


@dataclass(frozen=True)
class SimulatedKitchen:
    """A kitchen whose coefficients are known to nobody who learns."""

    truth: Draws
    chances: np.random.Generator

    @classmethod
    def drawn(cls, seed: int) -> "SimulatedKitchen":
        """Return a kitchen as the belief has them."""
        chances = np.random.default_rng(seed)
        return cls(draws_of(chances.normal(size=(len(Draws._fields), 1))), chances)

    def bake(self, plan: Trial) -> Trial:
        """Return the tray of `plan` with what became of its pieces."""
        batch = self._batch(1)
        sheets = tuple(
            TrialSheet(
                thickness_mm=sheet.thickness_mm,
                pieces=tuple(self._piece(plan, sheet.thickness_mm, batch) for _ in sheet.pieces),
            )
            for sheet in plan.sheets
        )
        return plan.model_copy(update={"sheets": sheets})

    def cracks(self, plan: Trial) -> tuple[bool, float]:
        """Return whether a piece of a batch of its own cracked, and how likely that was before
        anything was known of the batch."""
        t = plan.sheets[0].thickness_mm
        [z] = _z(plan, t, self._batch(1))
        likely = float(expit(_z(plan, t, self._batch(200))).mean())
        return bool(self.chances.random() < expit(z)), likely

    def _batch(self, count: int) -> Draws:
        growth, strain = self.chances.normal(size=(2, count))
        repeated = Draws(*(np.repeat(c, count) for c in self.truth))
        return repeated._replace(
            ln_growth=repeated.ln_growth + BATCH_LN_GROWTH * growth,
            crack_strain=repeated.crack_strain + BATCH_STRAIN * strain,
        )

    def _piece(self, plan: Trial, thickness_mm: float, batch: Draws) -> Piece:
        damage = _z(plan, thickness_mm, batch)[0] + self.chances.logistic()
        steps = damage + float(batch.grade_gap[0]) * np.array([1, 0, -1, -2])
        return Piece(crack_grade=int((steps > 0).sum()))


def any_plan(chances: np.random.Generator, most_pieces: int = 3) -> Trial:
    """Return a tray that somebody might bake: a ginger dough on a drum."""
    between = chances.uniform
    grams = {
        "all-purpose flour": between(380, 520),
        "unsalted butter": between(150, 230),
        "brown sugar": between(100, 200),
        "molasses": between(0, 60),
        "egg": between(30, 60),
        "baking soda": between(1.5, 6),
    }
    lines = tuple(
        MeasuredLine(ingredient=name, quantity=round(float(g), 1), unit="g")
        for name, g in grams.items()
    )
    diameter, wrap = FORMS[chances.integers(len(FORMS))]
    whole = (Piece(crack_grade=0),) * int(chances.integers(1, most_pieces + 1))
    return Trial.model_validate(
        {
            "recipe": Recipe(lines=lines),
            "form": {"kind": "cylinder", "diameter_mm": diameter, "wrap_degrees": wrap},
            "chilled": bool(chances.random() < 0.3),
            "sheets": (TrialSheet(thickness_mm=float(chances.choice(SHEETS_MM)), pieces=whole),),
        }
    )


def log_loss(chance: np.ndarray, cracked: np.ndarray) -> float:
    """Return the mean loss of chances, by what happened."""
    kept = np.clip(chance, 1e-6, 1 - 1e-6)
    return float(-np.where(cracked, np.log(kept), np.log1p(-kept)).mean())


def _z(plan: Trial, thickness_mm: float, draws: Draws) -> np.ndarray:
    law = law_of(plan.target_at(thickness_mm), draws)
    z: np.ndarray = excess(law, substances_of(plan.formula))[:, 0]
    return z
