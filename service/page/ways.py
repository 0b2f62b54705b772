"""The ways: for a form, up to four doughs and sheets in the trade's order, one of them recommended.

They are the rungs of `solver.ladder`, and the least change of all, which is the answer of
`solver.reformulate` and the way that is recommended. Which one a visitor takes is `chosen`.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest
from typing import Any

from models.batch import Batch
from models.brief import Brief
from models.chance import CrackChance
from models.exact import exact
from models.formula import Formula, FormulaLine
from models.ladder import LadderBrief, Rung, RungCode
from models.outcome import Outcome, OutcomeLine, RolledSheet
from models.recipe import measured_amount
from models.target import Target
from service.drawings.hero import Half, draw_mini
from service.questions.sections import section_state
from service.reading.line_words import ingredient_in
from solver.ladder import climb
from solver.mechanics.round_test import believed
from solver.search.deadline import SecondsLeft

MOST_WAYS = 4

_CODES: dict[RungCode, str] = {
    "as_written": "as_it_is",
    "thinner": "thinner",
    "chilled": "chilled",
    "thinner_chilled": "thinner",
    "less_leavening": "less_leavening",
    "little_flour": "little_flour",
    "several_changes": "together",
    "thinner_less_leavening": "together",
    "thinner_several_changes": "together",
    "fat_swap": "together",
}
ORDER = ("as_it_is", "thinner", "chilled", "less_leavening", "little_flour", "together")


@dataclass(frozen=True)
class Change:
    """A sheet and a dough, and what whoever eats it notices; `lines` are in the recipe's order."""

    code: str
    sheet: RolledSheet
    lines: tuple[OutcomeLine, ...]
    texture: str

    @property
    def moved(self) -> list[OutcomeLine]:
        """The lines that change."""
        return [line for line in self.lines if line.moved]


@dataclass(frozen=True)
class Way(Change):
    """One way: a change with the chance of a crack, and its small picture."""

    chance: CrackChance
    cost: float
    reaches: bool
    recommended: bool = False
    mini: str = ""


def ways_of(brief: Brief, outcome: Outcome, seconds_left: SecondsLeft) -> tuple[Way, ...]:
    """Return the ways to make the dough of `brief` hold; none without a form, or where the belief
    ends. `outcome` is the least change of all.

    Where ratios are bounded by hand the chance alone decides nothing: there are only the recipe as
    it is and the least change. A sheet that may not be rolled thinner is not, and chilling that is
    not enough is not worth one of four places.
    """
    if brief.target is None or outcome.form is None or outcome.form.before is None:
        return ()
    ladder = climb(_ladder_brief(brief, outcome), seconds_left, with_front=False)
    ways = [_of_rung(rung) for rung in ladder.rungs if rung.reaches or rung.code != "chilled"]
    if not brief.implies_chance_limit:
        ways = ways[:1]
    if brief.target.may_roll_to_mm is None:
        planned = brief.target.thickness_mm
        ways = [way for way in ways if way.sheet.thickness_mm == planned]
    ways = _with_least(ways, _least(brief, outcome))
    return tuple(_drawn(_few(ways), brief))


def steps_of(brief: Brief, outcome: Outcome, seconds_left: SecondsLeft) -> tuple[Change, ...]:
    """Return what the trade tries, the gentlest first, where no chance is known."""
    ladder = climb(_ladder_brief(brief, outcome), seconds_left, with_front=False)
    return tuple(Change(_CODES[s.code], s.target, s.lines, s.texture) for s in ladder.steps)


def chosen(ways: Sequence[Way], code: str) -> Way | None:
    """Return the way of that code, else the recommended one, else the first."""
    named = next((way for way in ways if way.code == code), None)
    best = next((way for way in ways if way.recommended), None)
    return named or best or (ways[0] if ways else None)


def _ladder_brief(brief: Brief, outcome: Outcome) -> LadderBrief:
    """Return the brief as a ladder asks it, in the batch that the answer makes."""
    names = set(Brief.model_fields) & brief.model_fields_set - {"batch"}
    members: dict[str, Any] = {name: getattr(brief, name) for name in names}
    if brief.batch is not None:
        members["batch"] = Batch(factor=outcome.batch_factor)
    asked = LadderBrief(**members)
    return asked.taught_by(brief.taught)


def _of_rung(rung: Rung) -> Way:
    return Way(
        code=_CODES[rung.code],
        sheet=rung.target,
        lines=rung.lines,
        chance=rung.chance,
        texture=rung.texture,
        cost=rung.texture_cost,
        reaches=rung.reaches,
    )


def _least(brief: Brief, outcome: Outcome) -> Way | None:
    """Return the least change of all as a way; None where there is none, or it changes nothing."""
    form, sheet = outcome.form, outcome.target.after if outcome.target else None
    if form is None or form.after is None or sheet is None or outcome.cost is None:
        return None
    return Way(
        code=_code_of(brief, outcome, sheet),
        sheet=sheet,
        lines=outcome.lines,
        chance=form.after,
        texture="",
        cost=outcome.cost.total,
        reaches=form.after.percent <= brief.chance_limit_percent,
        recommended=True,
    )


def _code_of(brief: Brief, outcome: Outcome, sheet: RolledSheet) -> str:
    assert brief.target is not None, "a way is on a form"
    roles = {line.role for line in outcome.lines if line.moved}
    rolls = sheet.thickness_mm < brief.target.thickness_mm or sheet.chilled != brief.target.chilled
    if not roles:
        thinner = sheet.thickness_mm < brief.target.thickness_mm
        return "thinner" if thinner else "chilled" if rolls else "as_it_is"
    if rolls or len(roles) > 1:
        return "together"
    return {"leavener": "less_leavening", "flour": "little_flour"}.get(roles.pop(), "together")


def _with_least(ways: list[Way], least: Way | None) -> list[Way]:
    """Return one way of each code, the recommended one among them in place of its like."""
    by_code: dict[str, Way] = {}
    for way in ways:
        other = by_code.get(way.code)
        if other is None or (way.reaches, -way.cost) > (other.reaches, -other.cost):
            by_code[way.code] = way
    if least is not None:
        like = next((way for way in ways if _alike(way, least)), None)
        texture = like.texture if like else TEXTURE[least.code]
        by_code[least.code] = replace(least, texture=texture)
    return [by_code[code] for code in ORDER if code in by_code]


TEXTURE = {
    "as_it_is": "As it has always been.",
    "thinner": "Crisper and quicker to bake.",
    "chilled": "As it has always been.",
    "less_leavening": "Denser and snappier, a little paler.",
    "little_flour": "A little drier and firmer to bite.",
    "together": "A little of each change; taste it before you promise it.",
}


def _alike(one: Way, other: Way) -> bool:
    return one.sheet == other.sheet and [line.after for line in one.lines] == [
        line.after for line in other.lines
    ]


def _few(ways: list[Way]) -> list[Way]:
    """Return at most four: first to go is what cracks most, never the first or the recommended."""
    while len(ways) > MOST_WAYS:
        spare = [way for way in ways[1:] if not way.recommended]
        ways.remove(max(spare, key=lambda way: (way.chance.percent, way.cost)))
    return ways


def _drawn(ways: list[Way], brief: Brief) -> Iterator[Way]:
    halves = [half_of_way(brief, way) for way in ways]
    for way, half in zip(ways, halves, strict=True):
        yield replace(way, mini=draw_mini(half, halves))


def formula_of(brief: Brief, way: Way) -> Formula:
    """Return the dough of a way by weight; what did not move is made of what it was."""
    lines = []
    for line, written in zip_longest(way.lines, brief.formula.lines):
        if line.after is None or not line.after.grams:
            continue
        if written is not None and not line.moved:
            share = exact(line.after.grams) / written.grams
            lines.append(replace(written, amount=written.amount.times(share)))
        else:
            food = ingredient_in(brief.recipe, line.ingredient)
            lines.append(FormulaLine(food, measured_amount(food, line.after.grams, "g")))
    return Formula(tuple(lines), brief.powder_strength)


def half_of_way(brief: Brief, way: Way) -> Half:
    """Return the way's sheet on its form, to be drawn."""
    assert brief.target is not None, "a way is on a form"
    target = brief.target.rolled(way.sheet.thickness_mm, chilled=way.sheet.chilled)
    return half_of(brief, formula_of(brief, way), target, way.chance)


def half_of(brief: Brief, formula: Formula, target: Target, chance: CrackChance) -> Half:
    """Return a dough's sheet on its form, to be drawn with the chance that is told of it."""
    given = believed(brief.round_test, brief.formula, brief.taught)
    course = section_state("", formula, target, given).course
    return Half(course, chance.percent, brief.chance_limit_percent)
