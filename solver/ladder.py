"""The ladder: the trade's ways to make a dough hold, each as little as can be, and their trade-off.

Each rung is the least cost of its kind by the same program as a reformulation: what may move and
which sheets may be rolled differ. A rung that cannot reach the chance asked for is the step that
the trade would take. The front holds, for a dozen chances, the least cost over all doughs and
sheets.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
from scipy.special import expit, logit

from models.chance import EVENT
from models.exact import exact
from models.formula import FormulaLine
from models.ingredient import Ingredient, Role
from models.ladder import DroppedRung, FrontPoint, Ladder, LadderBrief, Rung, RungCode
from models.limits import ChangeLimit, CrackLimit, Limit
from models.measures import Amount, Part, Term
from models.outcome import RolledSheet
from models.pantry import known_pantry
from models.target import LEAST_THICKNESS_MM, Target
from models.thickness import thickness_words
from solver.answers.cost import cost_of
from solver.answers.safest import safest
from solver.answers.showing import formula_of, lines_of
from solver.mechanics.chance import crack_chance, crack_percent
from solver.mechanics.dough import LIMITS_OF_THE_MODEL
from solver.mechanics.experience import unusual
from solver.mechanics.levers import sensitivity
from solver.search.answer import Answer, DeadlineStruck
from solver.search.costs import MOVED_LINE_COST, move_cost
from solver.search.deadline import SecondsLeft
from solver.search.options import LineOptions
from solver.search.problem import Problem
from solver.search.rack import Measurable
from solver.search.sheets import Sheet, sheets_of

THINNEST_STEP_MM = 2.0
"""Thinner than this a sheet tears when it is lifted; common practice, no source. The caller may
allow more."""

CHANCES_ALIKE = 1.0
"""Two rungs whose chances differ by less than a point are as safe as each other."""

FAT_TO_SWAP_IN = "vegetable shortening"

USUAL_STEPS: dict[Role, Fraction] = {"leavener": Fraction(1, 2), "flour": Fraction(11, 10)}
"""Half the leavening, a tenth more flour: common practice, no source."""

EVERY_ROLE: frozenset[Role] = frozenset(
    ("flour", "fat", "sugar", "syrup", "egg", "liquid", "leavener")
)
_NOTHING: frozenset[Role] = frozenset()

SINGLE_CHANGES: frozenset[RungCode] = frozenset(
    ("as_written", "thinner", "less_leavening", "little_flour")
)

TEXTURE: dict[RungCode, str] = {
    "as_written": "As it has always been.",
    "thinner": "Crisper and quicker to bake; lift it on its paper.",
    "thinner_chilled": "Crisper and quicker to bake; bend it before it is quite cold.",
    "less_leavening": "Denser and snappier, a little paler.",
    "little_flour": "A little drier and firmer to bite.",
    "several_changes": "A different biscuit by a little of each; taste it before you promise it.",
    "thinner_less_leavening": "Crisp, dense and snappy.",
    "thinner_several_changes": "Crisp, and a little of each change; taste it first.",
    "fat_swap": "Less flavour of butter, sandier to bite.",
}


@dataclass(frozen=True)
class _Way:
    """One way up: the sheets that it may roll and the roles that it may move."""

    code: RungCode
    sheets: tuple[Sheet, ...]
    moves: frozenset[Role]


def climb(brief: LadderBrief, seconds_left: SecondsLeft) -> Ladder:
    """Return the rungs worth standing on, the dropped ones, and the front.

    Where the deadline strikes, what was found by then, marked as not complete. Raises BadInput for
    what no estimate is known of, where the caller limits its chance.
    """
    target = brief.target
    assert target is not None, "a ladder brief has a target"
    problem = Problem.of(brief, seconds_left)
    before, draws = problem.ready.before, problem.ready.draws
    strange = unusual(before, target, draws)
    rungs: list[Rung] = []
    front: list[FrontPoint] = []
    complete = True
    if not strange:
        try:
            rungs.extend(_rungs(problem, target))
            front.extend(_front(problem, target, brief.points))
        except DeadlineStruck:
            complete = False
    kept, dropped = _undominated(rungs)
    limit = brief.chance_limit_percent
    return Ladder(
        limit_percent=limit,
        event=EVENT,
        rungs=tuple(_with_recommendation(kept)),
        dropped=tuple(dropped),
        front=tuple(front),
        complete=complete,
        sensitivity=None if strange else sensitivity(before, target, limit, draws),
        outside_experience=strange,
        limits_of_the_model=LIMITS_OF_THE_MODEL,
    )


def _rungs(problem: Problem, target: Target) -> Iterator[Rung]:
    for way in _ways(target):
        yield _climbed(problem, way, target)
    yield from _fat_swap(problem, target)


def _free(target: Target) -> Target:
    """Return the target with every sheet that a ladder may roll."""
    least = target.may_roll_to_mm
    if least is None:
        least = max(LEAST_THICKNESS_MM, min(THINNEST_STEP_MM, target.thickness_mm))
    return target.model_copy(update={"may_roll_to_mm": least, "may_chill": True})


def _ways(target: Target) -> Iterator[_Way]:
    every = sheets_of(_free(target))
    planned = tuple(sheet for sheet in every if not sheet.cost)
    thin = tuple(s for s in every if s.target.thickness_mm < target.thickness_mm)
    warm = tuple(s for s in thin if s.target.chilled == target.chilled)
    cold = tuple(s for s in thin if s.target.chilled and not target.chilled)
    yield _Way("as_written", planned, _NOTHING)
    if warm:
        yield _Way("thinner", warm, _NOTHING)
    if cold:
        yield _Way("thinner_chilled", cold, _NOTHING)
    yield _Way("less_leavening", planned, frozenset({"leavener"}))
    yield _Way("little_flour", planned, frozenset({"flour"}))
    yield _Way("several_changes", planned, EVERY_ROLE)
    if thin:
        yield _Way("thinner_less_leavening", thin, frozenset({"leavener"}))
        yield _Way("thinner_several_changes", thin, EVERY_ROLE)


def _climbed(problem: Problem, way: _Way, target: Target) -> Rung:
    held = _held(problem, way.moves)
    here = problem.under([*problem.limits, *held]).rolled(way.sheets)
    return _rung(problem, way.code, here.below() or _usual_step(here, way), target)


def _usual_step(problem: Problem, way: _Way) -> Answer:
    """Return the step that the trade takes where even the most of a kind would not be enough.

    Half the leavening, a tenth more flour, the sheet that cracks least: a step on the way, for all
    of the leavening gone is no dough that anyone wants.
    """
    steps = []
    for sheet in way.sheets:
        here = problem.at(sheet)
        limit = _crack_limit(here.limits)
        picks = tuple(_stepped(each) if _steps(each, way) else 0 for each in here.options)
        answer = here.answer(picks)
        if not answer.meets(here.without(limit).limits):
            answer = here.answer((0,) * len(picks))
        steps.append((answer.weighed.measured(limit) or Fraction(0), answer.cost, answer))
    return min(steps, key=lambda step: step[:2])[2]


def _steps(each: LineOptions, way: _Way) -> bool:
    return each.line.role in USUAL_STEPS and each.line.role in way.moves and each.line.grams > 0


def _stepped(each: LineOptions) -> int:
    """Return the option nearest to the usual step of its role."""
    wanted = float(USUAL_STEPS[each.line.role] * each.line.grams)
    return int(np.abs(each.grams - wanted).argmin())


def _held(problem: Problem, moves: frozenset[Role]) -> list[Limit]:
    """Return a limit that keeps every line of the other roles."""
    lines = problem.ready.lines
    held = tuple(k for k, line in enumerate(lines) if line.role not in moves)
    return [ChangeLimit("keep", "the other lines", held, Fraction(0))]


def _rung(problem: Problem, code: RungCode, answer: Answer, target: Target) -> Rung:
    assert answer.sheet is not None, "a ladder rolls sheets"
    rolled, limit = answer.sheet.target, _crack_limit(problem.limits)
    chance = crack_chance(formula_of(answer), rolled, problem.ready.draws)
    return Rung(
        code=code,
        words=_words(answer, target, rolled),
        target=RolledSheet.of(rolled),
        lines=lines_of(answer, [None] * len(answer.picks)),
        cost=cost_of(answer),
        texture_cost=float(answer.cost),
        texture=TEXTURE[code],
        chance=chance,
        chance_percent=chance.chance_percent,
        chance_words=chance.words,
        growth_mm=chance.growth_mm,
        reaches=exact(chance.percent) <= limit.percent,
        recommended=False,
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


def _fat_swap(problem: Problem, target: Target) -> Iterator[Rung]:
    """Yield the rung on which shortening takes the butter's place, at equal fat."""
    shortening = known_pantry().find(FAT_TO_SWAP_IN)
    here = problem.under([*problem.limits, *_held(problem, _NOTHING)])
    staying = here.at(sheets_of(target)[0]).answer((0,) * len(here.options))
    if shortening is None or not any(_is_butter(each.line) for each in staying.options):
        return
    options = tuple(
        _filled_with(shortening, each) if _is_butter(each.line) else each
        for each in staying.options
    )
    swapped = replace(staying, options=options)
    if unusual(formula_of(swapped), target, problem.ready.draws):
        return
    weight = problem.ready.brief.weight_of("fat") or Fraction(0)
    lines = sum(_is_butter(each.line) for each in staying.options)
    cost = lines * move_cost(weight, Fraction(1), 0)
    rung = _rung(problem, "fat_swap", swapped, target)
    moved = {"change": float(lines * weight), "moved_lines": float(lines * MOVED_LINE_COST)}
    yield rung.model_copy(
        update={
            "words": f"Take {FAT_TO_SWAP_IN} instead of the butter, as much as brings equal fat.",
            "cost": rung.cost.model_copy(update={**moved, "total": float(cost)}),
            "texture_cost": float(cost),
        }
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


def _undominated(rungs: Sequence[Rung]) -> tuple[list[Rung], list[DroppedRung]]:
    """Return the rungs that stand, and why others do not.

    The trade's single changes stay whatever beats them: each is an answer to "and if I only …".
    """
    kept, dropped = [], []
    for position, rung in enumerate(rungs):
        if position and rung.texture_cost == 0:
            dropped.append(DroppedRung(code=rung.code, why="It changes nothing of this dough."))
            continue
        better = next(
            (other for at, other in enumerate(rungs) if _beats(other, rung, at < position)), None
        )
        if better is None or rung.code in SINGLE_CHANGES:
            kept.append(rung)
            continue
        why = (
            f"{better.words.removesuffix('.')}: that leaves a chance of "
            f"{better.chance.percent:.0f} % against {rung.chance.percent:.0f} %, and harms the "
            "texture no more."
        )
        dropped.append(DroppedRung(code=rung.code, why=why))
    return kept, dropped


def _beats(one: Rung, other: Rung, earlier: bool) -> bool:
    """Tell whether `one` is as safe as `other` and gentler, or as gentle and safer.

    Of two as good the earlier one counts: it is the trade's first choice. One that reaches the
    chance asked for is never beaten by one that does not.
    """
    if other.reaches and not one.reaches:
        return False
    safer_by = other.chance.percent - one.chance.percent
    gentler_by = other.texture_cost - one.texture_cost
    as_good = safer_by >= -CHANCES_ALIKE and gentler_by >= 0
    return as_good and (earlier or gentler_by > 0 or safer_by > CHANCES_ALIKE)


def _with_recommendation(rungs: Sequence[Rung]) -> Iterator[Rung]:
    reaching = [rung for rung in rungs if rung.reaches]
    best = min(reaching, key=lambda rung: rung.texture_cost, default=None)
    for rung in rungs:
        yield rung.model_copy(update={"recommended": rung is best})


def _front(problem: Problem, target: Target, points: int) -> Iterator[FrontPoint]:
    """Yield the front from the dough as it is to a safe one, evenly spaced in log odds."""
    free = problem.rolled(sheets_of(_free(target)))
    limit, before, draws = _crack_limit(problem.limits), problem.ready.before, problem.ready.draws
    thin = free.at(min(free.sheets, key=lambda s: crack_percent(before, s.target, draws)))
    best = safest(_crack_limit(thin.limits), thin.without(_crack_limit(thin.limits)))
    assert best is not None, "the dough rolls as it is"
    highest, lowest = crack_percent(before, target, draws), _chance_of(best)
    seen: set[tuple[object, ...]] = set()
    for at_most in _spaced(highest, lowest, points):
        eased = replace(limit, percent=exact(at_most))
        answer = free.easing(limit, eased).below() or best
        assert answer.sheet is not None, "a ladder rolls sheets"
        if (answer.picks, answer.sheet) in seen:
            continue
        seen.add((answer.picks, answer.sheet))
        yield FrontPoint(
            chance_percent=_chance_of(answer),
            texture_cost=float(answer.cost),
            target=RolledSheet.of(answer.sheet.target),
            lines=lines_of(answer, [None] * len(answer.picks)),
        )


def _chance_of(answer: Answer) -> float:
    assert answer.sheet is not None, "a ladder rolls sheets"
    return crack_percent(formula_of(answer), answer.sheet.target, answer.ready.draws)


def _spaced(highest: float, lowest: float, points: int) -> list[float]:
    top, foot = (min(max(chance, 0.01), 99.9) / 100 for chance in (highest, lowest))
    odds = np.linspace(logit(top), logit(foot), points)
    return [highest, *(float(100 * p) for p in expit(odds)[1:-1]), lowest]


def _crack_limit(limits: Sequence[Limit]) -> CrackLimit:
    return next(limit for limit in limits if isinstance(limit, CrackLimit))
