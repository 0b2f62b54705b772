"""What a form asks of a dough, before and after, and where each ratio alone leaves it safe."""

from collections.abc import Callable, Iterable, Iterator
from decimal import ROUND_CEILING, ROUND_FLOOR, Context
from fractions import Fraction

import numpy as np

from models.brief import Bounded
from models.chance import EVENT, CrackChance, chance_figure
from models.form import LeaningPanel
from models.formula import Formula
from models.ingredient import Role
from models.measures import Part
from models.outcome import FormReport, SpreadBeforeAndAfter, WordsBeforeAndAfter
from models.pantry import known_pantry
from models.ratios import RatioName, ratio_of
from models.target import Target
from models.window import Range
from solver.answers.kitchen_words import estimate_in_kitchen
from solver.mechanics.belief import Draws
from solver.mechanics.chance import SheetLaw, chance_percents, crack_chance, law_by
from solver.mechanics.dough import LIMITS_OF_THE_MODEL, Substances, substances_of
from solver.mechanics.experience import unusual
from solver.mechanics.levers import thickness_needed
from solver.mechanics.round_test import believed

STEPS = tuple(Fraction(step, 50) for step in range(101))
"""From none of a lever to twice as much of it as there is, in fiftieths."""

MOST_SODA_SHARE = Fraction(2, 100)
"""Of the flour: what a dough without leavening is tried up to."""

WELL_KNOWN_MM = (2.0, 6.5)

HALVINGS = 20
"""Enough to place the edge of a range to a millionth of a step."""


def form_report(
    brief: Bounded, before: Formula, after: Formula | None, rolled: Target | None = None
) -> FormReport | None:
    """Return what the brief's form asks of the dough, or None without a form.

    `rolled` is the sheet as proposed, that of the brief where nothing else is said. Raises BadInput
    for a round test that no such dough shows.
    """
    target = brief.target
    if target is None:
        return None
    draws = believed(brief.round_test, brief.formula, brief.taught)
    strange = unusual(before, target, draws)
    if strange:
        return _nothing_known(strange)
    proposed = rolled or target
    now = crack_chance(before, target, draws)
    then = None
    if after is not None and not unusual(after, proposed, draws):
        then = crack_chance(after, proposed, draws)
    states = [(before, target)]
    if after is not None and then is not None:
        states.append((after, proposed))
    shown, at_most = then or now, brief.chance_limit_percent
    return FormReport(
        event=EVENT,
        chance_percent=SpreadBeforeAndAfter(
            before=now.chance_percent, after=then.chance_percent if then else None
        ),
        words=WordsBeforeAndAfter(before=now.words, after=then.words if then else None),
        growth_mm=SpreadBeforeAndAfter(
            before=now.growth_mm, after=then.growth_mm if then else None
        ),
        before=now,
        after=then,
        hardly_known=shown.hardly_known,
        what_would_tell=_what_would_tell(brief) if shown.hardly_known else None,
        round_test=_round_words(brief, before, now),
        kitchen=estimate_in_kitchen(brief.taught, states),
        ranges=_ranges(after or before, proposed if after else target, at_most, draws),
        thickness_needed_mm=thickness_needed(before, target, at_most, draws),
        outside_experience=(),
        limits_of_the_model=(*_at_the_edge(target), *LIMITS_OF_THE_MODEL),
    )


def _at_the_edge(target: Target) -> Iterator[str]:
    if not WELL_KNOWN_MM[0] <= target.thickness_mm <= WELL_KNOWN_MM[1]:
        least, most = WELL_KNOWN_MM
        yield f"Sheets thinner than {least:g} mm or thicker than {most:g} mm are hardly known."
    if isinstance(target.form, LeaningPanel):
        yield "A leaning panel sags before it cracks, and sagging is not in the model."


def _nothing_known(strange: tuple[str, ...]) -> FormReport:
    nothing = SpreadBeforeAndAfter(before=None, after=None)
    return FormReport(
        event=EVENT,
        chance_percent=nothing,
        words=WordsBeforeAndAfter(before=None, after=None),
        growth_mm=nothing,
        before=None,
        after=None,
        hardly_known=True,
        what_would_tell="A trial bake on the form: nothing is known of such a dough or form.",
        round_test=None,
        kitchen=None,
        ranges={},
        thickness_needed_mm=None,
        outside_experience=strange,
        limits_of_the_model=LIMITS_OF_THE_MODEL,
    )


def _what_would_tell(brief: Bounded) -> str:
    if brief.round_test is None:
        return (
            "The chance is hardly known. A flat round baked and measured would tell how this dough "
            "flows; a first tray on the form would tell more."
        )
    return "The chance is hardly known. A first tray on the form would tell."


def _round_words(brief: Bounded, before: Formula, now: CrackChance) -> str | None:
    if brief.round_test is None or brief.target is None:
        return None
    untried = crack_chance(before, brief.target, believed(None, before, brief.taught))
    figure, without = chance_figure(now.percent), chance_figure(untried.percent)
    if figure == without:
        return f"Your dough flows as was to be expected: the chance stays {figure} as it is."
    flows = "less" if now.growth_mm.value < untried.growth_mm.value else "more"
    return (
        f"Your dough flows {flows} than most: a chance of {figure} instead of {without} as it is."
    )


Multiple = Callable[[Formula, Fraction], Formula]
"""The dough with a multiple of one thing in it, all else as it is."""


def _times(*roles: Role) -> Multiple:
    def scaled(formula: Formula, factor: Fraction) -> Formula:
        return formula.with_amounts(
            line.amount.times(factor) if line.role in roles else line.amount
            for line in formula.lines
        )

    return scaled


def _leavening(formula: Formula, factor: Fraction) -> Formula:
    """Return the dough with `factor` times its leavening.

    A dough without any is given baking soda: twice as much is then 2 % of its flour.
    """
    if formula.masses.soda:
        return _times("leavener")(formula, factor)
    soda = known_pantry().find("baking soda")
    assert soda is not None, "the table has soda"
    line = formula.lines[0]
    more = Part(soda, factor * MOST_SODA_SHARE / 2 * formula.flour_grams)
    amounts = [line.amount.and_part(more), *(other.amount for other in formula.lines[1:])]
    return formula.with_amounts(amounts)


def _water(formula: Formula, factor: Fraction) -> Formula:
    """Return the dough with `factor` times the water that it has besides its flour's."""
    water = known_pantry().find("water")
    assert water is not None, "the table has water"
    line = formula.lines[0]
    more = Part(water, (factor - 1) * formula.masses.water / water.water_share)
    amounts = [line.amount.and_part(more), *(other.amount for other in formula.lines[1:])]
    return formula.with_amounts(amounts)


MULTIPLES: dict[RatioName, Multiple] = {
    "flour_to_fat": _times("flour"),
    "soda_equivalent_percent": _leavening,
    "moisture_percent": _water,
}


def _ranges(
    formula: Formula, target: Target, at_most: float, draws: Draws | None
) -> dict[RatioName, Range]:
    law = law_by(target, draws)
    found = {
        ratio: _range(formula, ratio, multiple, _safety(formula, multiple, law, at_most))
        for ratio, multiple in MULTIPLES.items()
        if ratio_of(ratio, formula.masses) is not None
    }
    return {ratio: within for ratio, within in found.items() if within is not None}


Safe = Callable[[Fraction], bool]
"""Tells whether the chance is kept at a multiple."""


def _safety(formula: Formula, multiple: Multiple, law: SheetLaw, at_most: float) -> Safe:
    """Return what tells, with all steps looked at in one go: substances add up in a straight line.

    A dough without any flour is none.
    """
    none, once = multiple(formula, Fraction(0)), multiple(formula, Fraction(1))
    start, end = np.array(substances_of(none)), np.array(substances_of(once))

    def kept(factors: Iterable[Fraction]) -> list[bool]:
        times = np.array([float(factor) for factor in factors])
        dough = start[:, None] + times * (end - start)[:, None]
        return [bool(chance <= at_most) for chance in chance_percents(law, Substances(*dough))]

    steps = STEPS if none.flour_grams else STEPS[1:]
    known = {STEPS[0]: False, **dict(zip(steps, kept(steps), strict=True))}
    return lambda factor: known[factor] if factor in known else kept([factor])[0]


def _range(formula: Formula, ratio: RatioName, multiple: Multiple, safe: Safe) -> Range | None:
    """Return where the ratio may lie, found from the step nearest to the dough as it is."""
    start = Fraction(1) if ratio_of(ratio, formula.masses) else Fraction(0)
    inside = next((s for s in sorted(STEPS, key=lambda s: abs(s - start)) if safe(s)), None)
    if inside is None:
        return None
    low, high = _edge(safe, inside, -1), _edge(safe, inside, 1)
    least = ratio_of(ratio, multiple(formula, low).masses) if low else Fraction(0)
    most = ratio_of(ratio, multiple(formula, high).masses)
    return Range(
        min=_shown(least, ROUND_CEILING) if least else None,
        max=None if high >= STEPS[-1] or most is None else _shown(most, ROUND_FLOOR),
    )


def _shown(ratio: Fraction, rounding: str) -> float:
    """Return an edge as far as it is known on every machine, moved into the range if at all."""
    return float(Context(prec=5, rounding=rounding).create_decimal(float(ratio)))


def _edge(safe: Safe, inside: Fraction, direction: int) -> Fraction:
    """Return the last safe multiple from `inside` on in one direction."""
    step = STEPS[1] * direction
    last = inside
    while STEPS[0] <= last + step <= STEPS[-1] and safe(last + step):
        last += step
    if not STEPS[0] <= last + step <= STEPS[-1]:
        return last
    beyond = last + step
    for _ in range(HALVINGS):
        middle = (last + beyond) / 2
        if safe(middle):
            last = middle
        else:
            beyond = middle
    return last
