"""What an answer promises of its cost: each term summed once more from the lines' own words."""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from models.brief import Brief
from models.exact import exact
from models.ingredient import Role
from models.outcome import Cost
from solver.answers.recheck.weighing import RecheckedLine
from solver.answers.recheck.words import counted

SHOWN = Fraction(1, 10**9)
"""A number is shown as a float: it may differ from the exact one by its last digits only."""

WEIGHTS: dict[Role, str] = {
    "leavener": "0.4",
    "liquid": "0.6",
    "syrup": "0.8",
    "flour": "1",
    "fat": "1",
    "sugar": "1.2",
    "egg": "1.5",
}
"""What a whole change of a role costs unless the caller says otherwise; other roles do not move."""


def cost_faults(
    brief: Brief,
    shown: Cost,
    lines: Sequence[RecheckedLine],
    flour_before: Fraction,
    sheet: Fraction,
) -> Iterator[str]:
    """Yield every term of a cost that is not so; `sheet` is what a thinner or chilled one costs."""
    moved = [line for line in lines if line.moved]
    parts: dict[str, Fraction] = {
        "change": sum(
            (_weight(brief, line) * _share(line, flour_before) for line in moved), Fraction(0)
        ),
        "moved_lines": Fraction(len(moved), 20),
        "scoops": Fraction(sum(counted(line.kind, line.said) for line in moved), 250),
        "left_out": Fraction(15, 100) * sum(1 for line in moved if not line.grams),
        "sheet": sheet,
    }
    for name, value in parts.items():
        if not same(getattr(shown, name), value):
            yield f"the cost's {name} is {float(value)}, not {getattr(shown, name)}"
    for name in sorted(Cost.model_fields.keys() - {"total", *parts}):
        yield f"the cost's {name} is not weighed again"
    total = sum(parts.values(), Fraction(0))
    if not same(shown.total, total):
        yield f"the cost is {float(total)}, not {shown.total}"


def _weight(brief: Brief, line: RecheckedLine) -> Fraction:
    weight = brief.weights.get(line.before.role)
    if weight is not None:
        return exact(weight)
    return Fraction(WEIGHTS.get(line.before.role, "0"))


def _share(line: RecheckedLine, flour_before: Fraction) -> Fraction:
    unit = line.before.grams or flour_before / 20
    return abs(line.grams - line.before.grams) / unit


def same(shown: float | None, true: Fraction | None) -> bool:
    """Tell whether a number is shown as it is."""
    if shown is None or true is None:
        return shown is None and true is None
    return abs(exact(shown) - true) <= SHOWN * max(Fraction(1), abs(true))
