"""The dough on the form: what a formula makes of fluidity, rise and the strain that it bears.

    ln F = ln F0 + Σ slope × (baker's percentage − reference) + chill + n ln(t / 5 mm)
    r    = r0 + slope × powder
    εc   = εc0 + Σ slope × (baker's percentage − reference) + chill

F fluidity between melting and setting [1/Pa], r rise as a share of the thickness, εc the strain of
the outer face at which it cracks. Each is affine in baker's percentages, so times the flour it is
linear in the grams of every ingredient: X = m_flour ln F and its like are what the program bounds.

The slopes start from wide priors, few of them measured on such doughs; `LIMITS_OF_THE_MODEL` says
what they do not explain. What a form asks is `solver.mechanics.sheet`; the chance of a crack
`solver.mechanics.chance`.
"""

import math
import operator
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np

from models.formula import Formula
from models.ingredient import Ingredient
from models.pantry import fold
from models.ratios import masses_per_gram
from solver.mechanics.prior import Coefficients

LIMITS_OF_THE_MODEL: tuple[str, ...] = (
    "These are estimates for changes within one recipe and one kitchen; a trial bake decides.",
    "The order of two changes is a prediction; the height of a chance is not, for the strain that "
    "a dough bears was set from what the trade knows: thick sheets crack and thin ones do not.",
    "How firmly the sheet sticks to its form decides how much a curve adds, and nobody has "
    "measured that.",
    "That chilling helps is the trade's rule: the time in the oven alone explains almost nothing "
    "of it, and one controlled study found doughs with shortening smaller when baked warm.",
    "Butter and shortening differ in water as well as in fat, and trials at equal solids found no "
    "effect of solid fat on spread.",
    "What cones and panels ask is a plain estimate that nothing was held against.",
    "Cookies of other families spread more or less than this for reasons that are not in it.",
    "Growth in an oven is steady and then stops; here it slows, so the fluidity stands for the "
    "whole bake and not for any moment of it.",
    "All leavening counts as if an acid met it, so doughs with a spoonful of soda are judged "
    "harshly; so is any dough far from a lightly leavened butter dough.",
    "Cracks from a skin that dries or from sugar that crystallises, doughs that do not flow below "
    "a certain load, and toughness are not in it: no usable figures were found.",
)
"""What to say wherever figures of the model are shown."""

POWDER_PER_SODA = 4.0
"""Leavening counts as double-acting powder, four grams to one of soda, as the trade reckons."""

REFERENCE_THICKNESS_MM = 5.0

MOST_LN_FLUIDITY = 14.0
"""No dough flows more than water (1e-3 Pa s) does in a quarter of an hour."""


class Makeup(NamedTuple):
    """What a dough is made of, in grams; numbers or arrays of them.

    `fat`, `sugars` and `water` by composition, the water of flour left out; `butter_fat` and
    `shortening_fat` the parts of the fat that butter and firm fats without milk bring; `egg` as
    weighed; `powder` the double-acting baking powder that all leavening stands for.
    """

    flour: Any
    fat: Any
    butter_fat: Any
    shortening_fat: Any
    sugars: Any
    water: Any
    egg: Any
    powder: Any


REFERENCE = Makeup(
    flour=100.0,
    fat=45.0,
    butter_fat=45.0,
    shortening_fat=0.0,
    sugars=50.0,
    water=18.0,
    egg=12.0,
    powder=1.0,
)
"""The dough that the priors speak of, in baker's percentages: a butter dough, rolled 5 mm thick."""


@dataclass(frozen=True)
class Law:
    """One affine quantity of a dough: a level, and a slope for each baker's percentage."""

    level: Any  # where every percentage is nil
    slopes: Makeup  # for each per cent of the flour; the flour's own is nil

    def times_flour(self, makeup: Makeup) -> Any:
        """Return the quantity × grams of flour, which is linear in grams.

        For the make-up of a gram of an ingredient this is what each gram of it adds.
        """
        parts = zip(self.slopes, makeup, strict=True)
        return self.level * makeup.flour + 100 * sum(slope * grams for slope, grams in parts)

    def at(self, makeup: Makeup) -> Any:
        """Return the quantity for a dough of this make-up."""
        return self.times_flour(makeup) / makeup.flour


class Laws(NamedTuple):
    """The three laws of a dough at one thickness, chilled or not."""

    ln_fluidity: Law
    rise: Law
    crack_strain: Law

    def state(self, makeup: Makeup) -> "DoughState":
        """Return what a dough of this make-up does."""
        ln_fluidity, rise, crack_strain = (law.at(makeup) for law in self)
        return DoughState(np.minimum(ln_fluidity, MOST_LN_FLUIDITY), rise, crack_strain)


class DoughState(NamedTuple):
    """What a dough does on a form: ln of its fluidity [1/Pa], rise, and the strain it bears."""

    ln_fluidity: Any
    rise: Any
    crack_strain: Any


def laws_of(thickness_mm: Any, chilled: bool, given: Coefficients) -> Laws:
    """Return the laws of a dough rolled to `thickness_mm`."""
    thickness = np.log(thickness_mm / REFERENCE_THICKNESS_MM)
    fluidity = _law_at_reference(
        given.ln_fluidity + given.fluidity_thickness_power * thickness,
        fat=given.fluidity_per_fat,
        shortening_fat=given.fluidity_per_shortening_fat,
        sugars=given.fluidity_per_sugar,
        water=given.fluidity_per_water,
        egg=given.fluidity_per_egg,
        powder=given.fluidity_per_powder,
    )
    crack_strain = _law_at_reference(
        given.crack_strain,
        egg=given.crack_strain_per_egg,
        water=given.crack_strain_per_water,
    )
    if chilled:
        fluidity = _chilled(fluidity, given)
        crack_strain = replace(crack_strain, level=crack_strain.level + given.crack_strain_chilled)
    rise = Law(given.rise, _NO_SLOPES._replace(powder=given.rise_per_powder))
    return Laws(fluidity, rise, crack_strain)


_NO_SLOPES = Makeup(*[0.0] * len(Makeup._fields))


def _law_at_reference(level: Any, **slopes: Any) -> Law:
    """Return the law that has `level` at the reference dough."""
    return Law(
        level - sum(slope * getattr(REFERENCE, name) for name, slope in slopes.items()),
        _NO_SLOPES._replace(**slopes),
    )


def _chilled(fluidity: Law, given: Coefficients) -> Law:
    """Return the law of a chilled dough.

    The chill acts through the fat it firms. So that it stays affine it grows with that fat, and has
    its full figure at as much fat as the reference has, instead of following shares of the fat.
    """
    slopes = fluidity.slopes
    firmer = slopes._replace(
        butter_fat=slopes.butter_fat + given.fluidity_chilled_butter / REFERENCE.fat,
        shortening_fat=slopes.shortening_fat + given.fluidity_chilled_shortening / REFERENCE.fat,
    )
    return replace(fluidity, slopes=firmer)


def makeup_of(formula: Formula) -> Makeup:
    """Return what the whole dough is made of."""
    parts = [part for line in formula.lines for part in line.amount.parts]
    per_gram = [makeup_per_gram(part.ingredient, formula.powder_strength) for part in parts]
    grams = [float(part.grams) for part in parts]
    columns = zip(*per_gram, strict=True)
    return Makeup(*(math.fsum(map(operator.mul, column, grams)) for column in columns))


def makeup_per_gram(ingredient: Ingredient, powder_strength: float) -> Makeup:
    """Return what a gram of `ingredient` brings; `powder_strength` is the caller's powder in soda.

    Which fats firm up in the cold is told by their names; oils and fats that say nothing do not.
    """
    masses = masses_per_gram(ingredient, powder_strength)
    fat = float(ingredient.fat_share)
    kind = _fat_kind(ingredient)
    return Makeup(
        flour=float(masses.flour),
        fat=fat,
        butter_fat=fat * (kind == "butter"),
        shortening_fat=fat * (kind == "shortening"),
        sugars=float(masses.sugars),
        water=float(masses.water),
        egg=float(masses.egg),
        powder=POWDER_PER_SODA * float(masses.soda),
    )


_FIRM_FATS = {
    "shortening": "shortening",  # before butter: a shortening may taste of it
    "lard": "shortening",
    "margarine": "shortening",
    "spread": "shortening",
    "butter": "butter",
    "ghee": "butter",
}


def _fat_kind(ingredient: Ingredient) -> str | None:
    words = set(fold(ingredient.name).split())
    kinds = (kind for word, kind in _FIRM_FATS.items() if word in words)
    return next(kinds, None) if ingredient.role == "fat" else None
