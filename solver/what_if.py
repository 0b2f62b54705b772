"""What if: the edited dough judged against its bounds. Nothing is optimised."""

from collections.abc import Iterator
from fractions import Fraction

from models.cautions import added_allergen_cautions, allergens_of, cautions_for
from models.formula import Formula, FormulaLine
from models.limits import ChangeLimit, Limit, NamedLimit
from models.measures import Part
from models.outcome import BeforeAndAfter
from models.recipe import MeasuredLine, Recipe, TextLine
from models.what_if import Add, BoundVerdict, Judgement, Replace, SetMeasure, WhatIf
from models.wording import number
from solver.answers.form_report import form_report
from solver.mechanics.belief import Draws
from solver.mechanics.round_test import believed
from solver.search.judging import WeighedDough

WORTH_NAMING_GRAMS = Fraction(1, 10)
"""Less water than this is less than any spoon holds."""


def judge(question: WhatIf) -> Judgement:
    """Return the edited dough's ratios, which bounds hold, and what the edits bring or take."""
    edited = dict(question.edited())
    before = question.formula
    lines = (edited.get(i, line) for i, line in enumerate(before.lines))
    added = (line for _, line in question.added())
    after = Formula((*lines, *added), before.powder_strength)
    draws = believed(question.round_test, before, question.taught)
    return Judgement(
        ratios=BeforeAndAfter(before=before.ratios, after=after.ratios),
        bounds=tuple(_verdict(limit, before, after, draws) for limit in _stated_limits(question)),
        recipe=_recipe(question, edited),
        notes=tuple(_notes(question, edited)),
        form=form_report(question, before, after) if after.flour_grams else None,
        cautions=(*added_allergen_cautions(before, after), *cautions_for(after)),
        allergens=allergens_of(after),
    )


def _stated_limits(question: WhatIf) -> Iterator[Limit]:
    """Yield the limits that the caller stated; the default flour limit binds a search only."""
    for limit in question.named_limits():
        stated = question.limits.max_flour_change_percent is not None
        if stated or limit.kind != "flour_change":
            yield limit


def _verdict(limit: Limit, before: Formula, after: Formula, draws: Draws | None) -> BoundVerdict:
    if not isinstance(limit, ChangeLimit):
        amounts = tuple(line.amount for line in after.lines)
        weighed = WeighedDough(amounts, after.powder_strength, draws)
        value = weighed.measured(limit)
        return BoundVerdict(
            **NamedLimit.naming(limit),
            value=float(limit.value),
            measured=None if value is None else float(value),
            holds=weighed.keeps(limit),
        )
    changes = (_change(before.lines[k], after.lines[k]) for k in limit.positions)
    largest = 100 * max(changes, default=Fraction(0))
    return BoundVerdict(
        **NamedLimit.naming(limit),
        value=float(limit.percent),
        measured=float(largest),
        holds=largest <= limit.percent,
    )


def _change(before: FormulaLine, after: FormulaLine) -> Fraction:
    """Return how far a line moved, as a share of it; a replaced line moved wholly."""
    if before.name != after.name:
        return Fraction(1)
    return abs(after.grams - before.grams) / before.grams if before.grams else Fraction(0)


def _recipe(question: WhatIf, edited: dict[int, FormulaLine]) -> Recipe | None:
    lines: list[TextLine | MeasuredLine] = []
    measures = {edit.ingredient: edit for edit in question.edits if isinstance(edit, SetMeasure)}
    names = {question.recipe.pantry.find(name): edit for name, edit in measures.items()}
    counted = {place: position for position, place in enumerate(question.recipe.counted)}
    for place, line in enumerate(question.recipe.lines):
        position = counted.get(place)
        if position is None or position not in edited:
            lines.append(line)
        else:
            new = edited[position]
            lines.extend(_edited(new, names.get(new.ingredient)))
        if position == len(counted) - 1:  # with the dough: what comes after may be another part
            lines.extend(_added(edit, line) for edit, line in question.added() if line.grams)
    return question.recipe.model_copy(update={"lines": tuple(lines)}) if lines else None


def _edited(new: FormulaLine, by_measure: SetMeasure | None) -> Iterator[MeasuredLine]:
    if not new.grams:
        return
    if by_measure is None:
        yield from (_in_grams(part) for part in new.amount.parts if part.grams)
        return
    yield MeasuredLine(ingredient=new.name, quantity=by_measure.quantity, unit=by_measure.unit)


def _added(edit: Add, line: FormulaLine) -> MeasuredLine:
    if edit.quantity is None or edit.unit is None:
        return _in_grams(line.amount.parts[0])
    return MeasuredLine(ingredient=line.name, quantity=edit.quantity, unit=edit.unit)


def _in_grams(part: Part) -> MeasuredLine:
    return MeasuredLine(ingredient=part.ingredient.name, quantity=float(part.grams), unit="g")


def _notes(question: WhatIf, edited: dict[int, FormulaLine]) -> Iterator[str]:
    """Yield what the edits leave out and add, and the water that comes or goes with it."""
    lines = question.formula.lines
    replaced = {
        question.recipe.pantry.find(e.ingredient) for e in question.edits if isinstance(e, Replace)
    }
    for position, new in edited.items():
        old = lines[position]
        if not new.grams:
            yield f"{old.name} is left out."
        elif old.ingredient in replaced:
            yield from _water_note(old, new)
    for _, line in question.added():
        water = line.grams * line.ingredient.water_share
        brings = f", which brings {number(water)} g of water" if water >= WORTH_NAMING_GRAMS else ""
        yield f"{number(line.grams)} g of {line.name} added{brings}."


def _water_note(old: FormulaLine, new: FormulaLine) -> Iterator[str]:
    brought = new.grams * new.ingredient.water_share
    taken = sum((p.grams * p.ingredient.water_share for p in old.amount.parts), Fraction(0))
    swap = f"{number(new.grams)} g of {new.name} for {number(old.grams)} g of {old.name}"
    difference = abs(brought - taken)
    water = f"{number(difference)} g"
    if difference < WORTH_NAMING_GRAMS:
        yield f"{swap}: the water stays as it was."
    elif brought > taken:
        yield f"{swap} brings {water} more water; take out as much liquid to keep the moisture."
    else:
        yield f"{swap} takes away {water} of water; add as much liquid to keep the moisture."
