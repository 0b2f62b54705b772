"""Showing an answer: its dough and its lines, as they go over the wire."""

from collections.abc import Sequence

from models.formula import Formula, FormulaLine
from models.measures import Amount
from models.outcome import After, AsideLine, Before, OutcomeLine
from models.reading import SetAside
from models.recipe import Recipe, TextLine
from solver.search.answer import Answer
from solver.search.options import ReadyBrief


def formula_of(answer: Answer) -> Formula:
    """Return the dough of `answer`."""
    lines = (
        FormulaLine(each.line.ingredient, amount)
        for each, amount in zip(answer.options, answer.amounts, strict=True)
    )
    return Formula(tuple(lines), answer.ready.brief.powder_strength)


def lines_before(ready: ReadyBrief) -> tuple[OutcomeLine, ...]:
    """Return the lines of a brief to which there is no answer."""
    return tuple(_line(line, None, False, None) for line in ready.before.lines)


def lines_of(answer: Answer, reasons: Sequence[str | None]) -> tuple[OutcomeLine, ...]:
    """Return the lines of `answer`; one that could have entered and did not is left out."""
    written = len(answer.ready.before.lines)
    return tuple(
        _line(line, amount, bool(pick), why)
        for k, (line, amount, pick, why) in enumerate(
            zip(answer.ready.lines, answer.amounts, answer.picks, reasons, strict=True)
        )
        if k < written or pick
    )


def aside_lines(recipe: Recipe) -> tuple[AsideLine, ...]:
    """Return the lines of a recipe that are none of its dough."""
    return tuple(
        AsideLine(line=at + 1, text=line.text, aside=meant.aside)
        for at, (line, meant) in enumerate(zip(recipe.lines, recipe.understood, strict=True))
        if isinstance(meant, SetAside) and isinstance(line, TextLine)
    )


def _line(line: FormulaLine, after: Amount | None, moved: bool, reason: str | None) -> OutcomeLine:
    change = None
    if after is not None and line.grams:
        change = float(100 * (after.grams - line.grams) / line.grams)
    return OutcomeLine(
        ingredient=line.name,
        role=line.role,
        before=Before.of(line.amount),
        after=None if after is None else After.of(after),
        moved=moved,
        change_percent=change,
        reason=reason,
        uncertain=line.uncertain,
        line=None if line.place is None else line.place + 1,
    )
