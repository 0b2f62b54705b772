"""The least answer, its ties, and the deadline."""

from dataclasses import replace

import pytest

from solver.answers.explain import binding_limits
from solver.reformulate import reformulate
from solver.search.answer import DeadlineStruck
from solver.search.highs import solve
from solver.search.problem import Problem
from solver.search.program import Program
from tests.conftest import brief_of
from tests.generated_recipes import generated_brief


@pytest.fixture
def no_lists(monkeypatch):
    """Make every program one that is better stepped through, so that HiGHS has to answer it."""
    monkeypatch.setattr(Program, "is_stepped", True)


@pytest.mark.parametrize("seed", [2, 8, 14])
def test_listed_or_solved_the_answer_is_the_same(seed, request):
    """Where no list is short enough HiGHS alone gives the same outcome, to the byte."""
    listed = reformulate(generated_brief(seed, measures="us"))
    request.getfixturevalue("no_lists")
    solved = reformulate(generated_brief(seed, measures="us"))
    assert solved.model_dump_json() == listed.model_dump_json()


def test_conflicts_found_by_solving_are_those_found_by_listing(lantern, request):
    """The same irreducible set, with the same values."""
    brief = brief_of(
        {**lantern, "window": {"egg_percent": {"min": 30}}, "limits": {"keep": ["butter"]}}
    )
    listed = reformulate(brief).conflicts
    request.getfixturevalue("no_lists")
    assert reformulate(brief).conflicts == listed


EQUAL_FLOURS = {
    "recipe": {
        "lines": [
            {"ingredient": "all-purpose flour", "quantity": 200, "unit": "g"},
            {"ingredient": "bread flour", "quantity": 200, "unit": "g"},
            {"ingredient": "lard", "quantity": 200, "unit": "g"},
        ]
    },
    "window": {"flour_to_fat": {"min": 2.1}},
    "limits": {"keep": ["lard"]},
    "measures": "scale",
}


def test_ties_are_settled_alike_by_solving(request):
    """Two equal flours: the earlier stays, whichever way the tie is found."""
    request.getfixturevalue("no_lists")
    outcome = reformulate(brief_of(EQUAL_FLOURS))
    assert [line.after.grams for line in outcome.lines] == [200, 220, 200]


def test_time_that_ends_while_ties_are_settled_keeps_the_answer(lantern, request):
    """The deadline carries the answer that was proved least."""
    brief = brief_of(lantern)
    problem = Problem.of(brief)
    answer = problem.least()
    with pytest.raises(DeadlineStruck) as struck:
        replace(problem, seconds_left=lambda: 0.0).settled(answer, problem.program)
    assert struck.value.best is answer
    request.getfixturevalue("no_lists")
    left = iter([1.0])
    with pytest.raises(DeadlineStruck) as struck:
        replace(problem, seconds_left=lambda: next(left, 0.0)).settled(answer, problem.program)
    assert struck.value.best.cost == answer.cost


def test_time_that_ends_while_reasons_are_sought_keeps_the_answer(lantern):
    """A proved answer is not lost for want of its reasons."""
    brief = brief_of(lantern)
    problem = Problem.of(brief)
    answer = problem.least()
    with pytest.raises(DeadlineStruck) as struck:
        binding_limits(replace(problem, seconds_left=lambda: 0.0), answer)
    assert struck.value.best is answer
    assert struck.value.bound == pytest.approx(0.390524, abs=1e-6)


def test_a_caller_who_leaves_stops_the_solver():
    """HiGHS asks while it works; told that no time is left, it ends without its proof."""
    brief = generated_brief(1096, measures="scale")
    asked = iter([60.0])
    solution = solve(Problem.of(brief).program, lambda: next(asked, 0.0))
    assert solution.status == "deadline"


def test_an_answer_that_only_passes_by_tolerance_is_solved_again():
    """A bound a hair above what 301 g gives is met by 302 g, not by the solver's tolerance."""
    hair = 301 / 100 + 1e-9
    brief = {
        **EQUAL_FLOURS,
        "recipe": {
            "lines": [
                {"ingredient": "flour", "quantity": 300, "unit": "g"},
                {"ingredient": "lard", "quantity": 100, "unit": "g"},
            ]
        },
        "window": {"flour_to_fat": {"min": hair}},
    }
    outcome = reformulate(brief_of(brief))
    assert [line.after.grams for line in outcome.lines] == [302, 100]
