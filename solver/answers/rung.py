"""A rung: one way to make a dough hold, in words a baker follows, with its chance and its price.

Which ways there are, and which of them stand, is `solver.ladder`.
"""

from models.exact import exact
from models.ladder import Rung, RungCode, Step
from models.measures import Amount
from models.outcome import RolledSheet
from models.target import Target
from models.thickness import thickness_words
from solver.answers.cost import cost_of
from solver.answers.showing import formula_of, lines_of
from solver.answers.sizing import pieces_from
from solver.mechanics.chance import crack_chance
from solver.search.answer import Answer
from solver.search.problem import Problem

TEXTURE: dict[RungCode, str] = {
    "as_written": "As it has always been.",
    "thinner": "Crisper and quicker to bake; lift it on its paper.",
    "chilled": "As it has always been; bend it before it is quite cold.",
    "thinner_chilled": "Crisper and quicker to bake; bend it before it is quite cold.",
    "less_leavening": "Denser and snappier, a little paler.",
    "little_flour": "A little drier and firmer to bite.",
    "several_changes": "A different biscuit by a little of each; taste it before you promise it.",
    "thinner_less_leavening": "Crisp, dense and snappy.",
    "thinner_several_changes": "Crisp, and a little of each change; taste it first.",
    "fat_swap": "Less flavour of butter, sandier to bite.",
}


def rung_of(problem: Problem, code: RungCode, answer: Answer, target: Target) -> Rung:
    """Return the rung on which `answer` stands, against the target that was asked for."""
    assert answer.sheet is not None, "a ladder rolls sheets"
    chance = crack_chance(formula_of(answer), answer.sheet.target, problem.ready.draws)
    return Rung(
        **dict(step_of(code, answer, target)),
        chance=chance,
        chance_percent=chance.chance_percent,
        chance_words=chance.words,
        growth_mm=chance.growth_mm,
        reaches=exact(chance.percent) <= problem.crack_limit.percent,
        recommended=False,
    )


def step_of(code: RungCode, answer: Answer, target: Target) -> Step:
    """Return what `answer` changes, against the target that was asked for."""
    assert answer.sheet is not None, "a ladder rolls sheets"
    rolled = answer.sheet.target
    return Step(
        code=code,
        words=_words(answer, target, rolled),
        target=RolledSheet.of(rolled),
        lines=lines_of(answer, [None] * len(answer.picks)),
        cost=cost_of(answer),
        texture_cost=float(answer.cost),
        texture=TEXTURE[code],
        pieces=pieces_from(answer),
    )


def _words(answer: Answer, asked: Target, rolled: Target) -> str:
    doings = []
    if rolled.thickness_mm < asked.thickness_mm:
        doings.append(f"roll it {thickness_words(rolled.thickness_mm)} thin")
    if rolled.chilled and not asked.chilled:
        doings.append("chill the cut pieces before they bake")
    for each, pick in zip(answer.options, answer.picks, strict=True):
        if pick:
            doings.append(_instead(each.line.name, each.stay.amount, each.amount(pick)))
    if not doings:
        return "Leave it as it is written."
    text = "; ".join(doings)
    return f"{text[0].upper()}{text[1:]}."


def _instead(name: str, old: Amount, new: Amount) -> str:
    if not new.grams:
        return f"leave the {name} out"
    if not old.grams:
        return f"add {new.measure} {name}"
    return f"take {new.measure} {name} instead of {old.measure}"
