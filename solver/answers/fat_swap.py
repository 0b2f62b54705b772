"""The fat swap: shortening in the butter's place, as much as brings equal fat, all else as written.

No option of the program: another fat is another ingredient, which the caller must want.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from models.formula import FormulaLine
from models.ingredient import Ingredient
from models.ladder import Rung
from models.measures import Amount, Part, Term
from models.outcome import After, Before, OutcomeLine
from models.pantry import known_pantry
from models.target import Target
from solver.answers.rung import rung_of
from solver.answers.showing import formula_of
from solver.answers.sizing import resized, share_needed
from solver.mechanics.experience import unusual
from solver.search.answer import Answer
from solver.search.costs import MOVED_LINE_COST, move_cost
from solver.search.options import LineOptions
from solver.search.problem import Problem
from solver.search.rack import Measurable
from solver.search.sheets import sheets_of

FAT_TO_SWAP_IN = "vegetable shortening"
MOST_SIZES = 4
"""Of a batch cut into pieces, made larger until its dough is enough; one is the rule."""


def fat_swap(problem: Problem, target: Target) -> Iterator[Rung]:
    """Yield the rung on which shortening takes the butter's place, at equal fat.

    `problem` keeps every line as it is.
    """
    shortening = known_pantry().find(FAT_TO_SWAP_IN)
    staying = problem.at(sheets_of(target)[0]).answer((0,) * len(problem.options))
    if shortening is None or not any(_is_butter(each.line) for each in staying.options):
        return
    swapped = _swapped(staying, shortening)
    for _ in range(MOST_SIZES):  # shortening weighs less than the butter that it stands for
        share = share_needed(swapped)
        if share <= 1:
            break
        problem = resized(problem, share)
        staying = problem.at(sheets_of(target)[0]).answer((0,) * len(problem.options))
        swapped = _swapped(staying, shortening)
    if unusual(formula_of(swapped), target, problem.ready.draws):
        return
    weight = problem.ready.brief.weight_of("fat") or Fraction(0)
    lines = sum(_is_butter(each.line) for each in staying.options)
    cost = lines * move_cost(weight, Fraction(1), 0)
    rung = rung_of(problem, "fat_swap", swapped, target)
    moved = {"change": float(lines * weight), "moved_lines": float(lines * MOVED_LINE_COST)}
    yield rung.model_copy(
        update={
            "words": f"Take {FAT_TO_SWAP_IN} instead of the butter, as much as brings equal fat.",
            "cost": rung.cost.model_copy(update={**moved, "total": float(cost)}),
            "texture_cost": float(cost),
            "lines": (*_without_butter(rung.lines, swapped), *_shortening(swapped, shortening)),
        }
    )


def _swapped(staying: Answer, shortening: Ingredient) -> Answer:
    options = tuple(
        _filled_with(shortening, each) if _is_butter(each.line) else each
        for each in staying.options
    )
    return replace(staying, options=options)


def _without_butter(lines: Sequence[OutcomeLine], swapped: Answer) -> Iterator[OutcomeLine]:
    for line, before in zip(lines, swapped.ready.lines, strict=False):
        gone = {"after": After(grams=0, measure="none", scoops=()), "moved": True}
        gone["change_percent"] = -100.0
        yield line.model_copy(update=gone) if _is_butter(before) else line


def _shortening(swapped: Answer, shortening: Ingredient) -> Iterator[OutcomeLine]:
    for each, before in zip(swapped.options, swapped.ready.lines, strict=True):
        if _is_butter(before):
            yield OutcomeLine(
                ingredient=shortening.name,
                role=shortening.role,
                before=Before(grams=0, measure="none"),
                after=After.of(each.stay.amount),
                moved=True,
                change_percent=None,
                reason=None,
            )


def _is_butter(line: FormulaLine) -> bool:
    return line.ingredient.fat_kind == "butter" and bool(line.grams)


def _filled_with(ingredient: Ingredient, each: LineOptions) -> LineOptions:
    """Return a line of another fat, as much as brings equal fat."""
    fat = each.stay.amount.grams * each.line.ingredient.fat_share
    grams = Fraction(round(fat / ingredient.fat_share))
    amount = Amount((Part(ingredient, grams),), (Term(grams, "g"),))
    line = replace(each.line, ingredient=ingredient)
    return replace(each, line=line, stay=Measurable(amount, 0))
