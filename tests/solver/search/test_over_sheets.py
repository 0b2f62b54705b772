"""The least answer over all sheets: what is skipped could not have been it."""

import itertools
import json

import numpy as np
import pytest

from models.brief import Brief
from models.target import Target
from solver.answers.front import front_of
from solver.answers.showing import formula_of
from solver.mechanics.chance import chance_percents, law_by, never_riskier
from solver.mechanics.dough import Substances, substances_of
from solver.search.answer import COST_TIE
from solver.search.problem import Problem
from solver.search.sheets import sheets_of
from tests.solver.search.test_crack import on_cylinder

FORMS = [
    {"kind": "flat_round", "diameter_mm": 80},
    {"kind": "flat_panel", "width_mm": 80, "height_mm": 100},
    {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150},
    {
        "kind": "cone",
        "base_diameter_mm": 80,
        "top_diameter_mm": 50,
        "height_mm": 90,
        "wrap_degrees": 150,
    },
    {"kind": "dome", "diameter_mm": 120, "cap_degrees": 60},
    {"kind": "wave", "crest_radius_mm": 40, "slope_degrees": 40},
]


@pytest.mark.parametrize("form", FORMS, ids=lambda form: form["kind"])
def test_a_thinner_sheet_is_said_to_be_no_riskier_and_is_not(form):
    """Of 400 doughs drawn at random, none cracks sooner on the thinner of two sheets."""
    rng = np.random.default_rng(7)
    most = np.array([1.0, 1.2, 0.4, 0.4, 1.2, 1.2, 0.8, 0.4, 0.02, 0.02, 0.02, 0.01])
    doughs = rng.uniform(0, 1, (len(most), 400)) * most[:, None]
    doughs[0] = 1.0
    thick, thin = (
        law_by(Target.model_validate_json(json.dumps({"form": form, "thickness_mm": mm})), None)
        for mm in (4, 2.5)
    )
    assert never_riskier(thin, thick)
    assert not never_riskier(thick, thin)
    made = Substances(*doughs)
    assert (chance_percents(thin, made) <= chance_percents(thick, made) + 1e-9).all()


def test_chilling_is_not_taken_to_be_safer():
    """Whether the cold helps is doubtful, so neither sheet stands for the other."""
    warm, cold = (
        law_by(Target.model_validate_json(json.dumps({**FORMED, "chilled": chilled})), None)
        for chilled in (False, True)
    )
    assert not never_riskier(warm, cold)
    assert not never_riskier(cold, warm)


FORMED = {"form": FORMS[2], "thickness_mm": 4}


def small_problem(at_most: float) -> Problem:
    """Return a brief of which flour and leavening may move, on any sheet."""
    asked = on_cylinder(thickness=5, window={"crack_chance_percent": {"max": at_most}})
    asked["target"] |= {"may_roll_to_mm": 2, "may_chill": True}
    asked["limits"] = {"keep": ["unsalted butter", "egg", "granulated sugar", "whole milk"]}
    return Problem.of(Brief.model_validate_json(json.dumps(asked)))


@pytest.mark.parametrize("at_most", [30, 12])
def test_the_least_over_all_sheets_is_the_least_of_each_alone(at_most):
    """Sheets skipped or asked for another's sake change nothing: each is asked by itself too."""
    problem = small_problem(at_most)
    alone = [problem.at(sheet).rolled([sheet]).least() for sheet in problem.sheets]
    found = [answer for answer in alone if answer is not None]
    least = problem.least()
    assert least is not None
    assert float(least.cost) == pytest.approx(min(float(a.cost) for a in found), abs=COST_TIE)
    assert least.preference == min(answer.preference for answer in found)


def test_a_front_that_remembers_is_the_front_of_each_chance_by_itself():
    """What is proved at one chance is carried to the next, and no point of the front moves."""
    problem = small_problem(20)
    target = problem.ready.brief.target
    free = problem.rolled(sheets_of(target))
    for point in front_of(free, target, 4):
        own = small_problem(min(99.9, max(0.1, point.chance_percent + 1e-9))).below()
        assert own is not None
        assert point.texture_cost == pytest.approx(float(own.cost), abs=COST_TIE)


GUIDES_MM = (2, 2.5, 3, 3.5, 4, 5)
"""What a sheet of 5 mm may be rolled to, down to 2 mm, as the contract lists them."""


def test_every_point_of_a_front_is_the_least_of_all_doughs_on_all_sheets():
    """All amounts of flour and leavening on all sheets, each judged by itself, the cost of a sheet
    written out as the contract states it: no point has anything cheaper within its chance."""
    problem = small_problem(20)
    target = problem.ready.brief.target
    rolls = problem.without(problem.crack_limit)
    every = map(rolls.answer, itertools.product(*(range(len(each)) for each in rolls.options)))
    doughs = [dough for dough in every if dough.meets(rolls.limits)]
    assert len(doughs) > 300
    substances = Substances(*np.array([substances_of(formula_of(dough)) for dough in doughs]).T)
    tried = []
    for thickness, chilled in itertools.product(GUIDES_MM, (False, True)):
        sheet = 0.02 + 0.1 * (1 - thickness / 5) + 0.2 * max(0, 3 - thickness)
        rolled = target.rolled(thickness, chilled=chilled)
        chances = chance_percents(law_by(rolled, None), substances)
        own = (0 if thickness == 5 else sheet) + 0.02 * chilled
        tried += [(c, float(d.dough_cost) + own) for c, d in zip(chances, doughs, strict=True)]
    front = list(front_of(problem.rolled(sheets_of(target)), target, 6))
    assert len(front) >= 4
    for point in front:
        within = (cost for chance, cost in tried if chance <= point.chance_percent + 1e-9)
        assert point.texture_cost == pytest.approx(min(within), abs=COST_TIE)
