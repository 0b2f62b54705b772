"""The front door: a brief in, its outcome out; proved, re-checked, explained.

Read from top to bottom it is the walk of one request: the brief at its batch's size, what each line
may become, the program, its least answer, and either the reasons for it or the limits that stand
in the way. The mathematics are in `solver.search.program`.
"""

from collections.abc import Sequence
from dataclasses import replace

from models.brief import Brief
from models.cautions import added_allergen_cautions, allergens_of, cautions_for
from models.form_cautions import form_cautions
from models.outcome import (
    BeforeAndAfter,
    BindingLimit,
    BoundName,
    Outcome,
    OutcomeTarget,
    Proof,
    RolledSheet,
    WindowBound,
    window_of,
)
from models.target import Target
from models.template import template
from solver.answers.conflict import Infeasibility, explain_infeasibility
from solver.answers.cost import cost_of
from solver.answers.explain import binding_limits, reasons
from solver.answers.form_report import form_report
from solver.answers.recheck import recheck
from solver.answers.showing import aside_lines, formula_of, lines_before, lines_of
from solver.answers.sizing import pieces_from, sized_for_pieces
from solver.search.answer import Answer, DeadlineStruck
from solver.search.deadline import SecondsLeft, no_deadline
from solver.search.problem import Problem

WRITING_SECONDS_PER_LINE = 0.003
"""Kept back from the search: an answer is checked again and written within the caller's time."""


def reformulate(brief: Brief, seconds_left: SecondsLeft = no_deadline) -> Outcome:
    """Return the smallest measurable changes that meet `brief`, or why there are none.

    Raises RecheckFailed where the answer does not hold in exact arithmetic.
    """
    writing = WRITING_SECONDS_PER_LINE * len(brief.formula.lines)
    problem = Problem.of(brief, lambda: seconds_left() - writing)
    try:
        answer = problem.least()
        if answer is None:
            return _infeasible(problem, explain_infeasibility(problem))
        problem, answer = sized_for_pieces(problem, answer)
        binding = binding_limits(problem, answer)
    except DeadlineStruck as struck:
        return recheck(brief, _unfinished(problem, struck))
    return recheck(brief, _answered(problem, answer, binding))


def _answered(problem: Problem, answer: Answer, binding: Sequence[BindingLimit]) -> Outcome:
    cost = float(answer.cost)
    return _outcome(
        problem,
        answer,
        outcome="reformulated" if answer.cost else "unchanged",
        # The solver proved its bound to a tolerance; the exact cost is the least within it.
        proof=Proof(status="optimal", bound=cost),
        binding=tuple(binding),
    )


def _infeasible(problem: Problem, why: Infeasibility) -> Outcome:
    return _outcome(
        problem,
        None,
        outcome="infeasible",
        conflicts=why.conflicts,
        relaxation=why.relaxation,
    )


def _unfinished(problem: Problem, struck: DeadlineStruck) -> Outcome:
    bound = max(0.0, struck.bound)  # no cost is below nothing
    if struck.best is not None:
        problem = replace(problem, ready=struck.best.ready)
    return _outcome(
        problem, struck.best, outcome="unfinished", proof=Proof(status="deadline", bound=bound)
    )


def _outcome(problem: Problem, answer: Answer | None, **rest: object) -> Outcome:
    ready = problem.ready
    limits = problem.at(answer.sheet).limits if answer and answer.sheet else problem.limits
    before, target = ready.before, ready.brief.target
    after = formula_of(answer) if answer else before
    sheet = answer.sheet.target if answer and answer.sheet else None
    return Outcome.model_validate(
        {
            "target": _target(target, sheet),
            "window": _window(problem),
            "form": form_report(ready.brief, before, after if answer else None, sheet),
            "batch_factor": float(ready.factor),
            "pieces": pieces_from(answer) if answer else None,
            "ratios": BeforeAndAfter(before=before.ratios, after=after.ratios if answer else None),
            "lines": lines_of(answer, reasons(answer, limits)) if answer else lines_before(ready),
            "cost": cost_of(answer) if answer else None,
            "cautions": (
                *cautions_for(after),
                *added_allergen_cautions(before, after),
                *(form_cautions(target, template(target)) if target else ()),
            ),
            "allergens": allergens_of(after, ready.brief.recipe.unsettled),
            "aside": aside_lines(ready.brief.recipe),
            "doubtful": ready.brief.recipe.doubtful,
            **rest,
        }
    )


def _target(planned: Target | None, rolled: Target | None) -> OutcomeTarget | None:
    if planned is None:
        return None
    return OutcomeTarget(
        form=planned.form,
        before=RolledSheet.of(planned),
        after=RolledSheet.of(rolled) if rolled else None,
    )


def _window(problem: Problem) -> dict[BoundName, WindowBound]:
    """Return the window as it was applied: a chance of which nothing is known bounds nothing."""
    window = window_of(problem.ready.brief)
    if not any(limit.kind == "crack_chance" for limit in problem.limits):
        window.pop("crack_chance_percent", None)
    return window
