"""The cost of an answer as it is shown: part by part, adding up to the total."""

from fractions import Fraction

from models.outcome import Cost
from solver.search.answer import Answer
from solver.search.costs import FILLING_COST, LEFT_OUT_COST, MOVED_LINE_COST


def cost_of(answer: Answer) -> Cost:
    """Return what `answer` costs."""
    moved = [(each, p) for each, p in zip(answer.options, answer.picks, strict=True) if p]
    return Cost(
        total=float(answer.cost),
        change=float(sum((e.weight * e.change_of(pick) for e, pick in moved), Fraction(0))),
        moved_lines=float(MOVED_LINE_COST * len(moved)),
        scoops=float(FILLING_COST * sum(each.counts_of(pick) for each, pick in moved)),
        left_out=float(LEFT_OUT_COST * sum(each.is_left_out(pick) for each, pick in moved)),
        sheet=float(answer.sheet.cost) if answer.sheet else 0.0,
    )
