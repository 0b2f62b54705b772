"""The ladder: the trade's ways to make a dough hold, each as little as can be, and their trade-off.

A rung that may move only some lines reaches the chance asked for at the least cost where it can,
and is as safe as it gets where it cannot. The front is exact: each of its points is the least cost
of all recipes whose chance is no higher.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
from scipy.special import expit, logit

from models.chance import CrackChance
from models.exact import exact
from models.ingredient import Ingredient, Role
from models.ladder import DroppedRung, FrontPoint, Ladder, LadderBrief, Rung, RungCode
from models.limits import ChangeLimit, CrackLimit, Limit
from models.measures import Amount, Part, Term
from models.pantry import pantry
from models.target import LEAST_THICKNESS_MM, Target
from solver.answers.safest import safest
from solver.answers.showing import formula_of, lines_of
from solver.answers.wording import number
from solver.mechanics.chance import crack_chance
from solver.mechanics.dough import LIMITS_OF_THE_MODEL
from solver.mechanics.levers import sensitivity
from solver.search.answer import Answer, DeadlineStruck
from solver.search.costs import MOVED_LINE_COST
from solver.search.deadline import SecondsLeft
from solver.search.options import LineOptions, ReadyBrief
from solver.search.problem import Problem
from solver.search.rack import Measurable

THINNER_BY = 2 / 3
"""A step thinner: 1/8 in for 3/16 in. Common practice, no source."""

THINNEST_STEP_MM = 2.0
"""Thinner than this a sheet tears when it is lifted; common practice, no source."""

THINNING_COST = 0.1
CHILLING_COST = 0.02
"""What texture loses when the whole thickness would go, and by a rest in the cold: less than any
change of the recipe, as the trade has it; the figures are judgement."""

CHANCES_ALIKE = 1.0
"""Two rungs whose chances differ by less than a point are as safe as each other."""

FAT_TO_SWAP_IN = "vegetable shortening"
SWAPPED = "unsalted butter"


@dataclass(frozen=True)
class _Way:
    """One way up: the target it rolls to and the roles that it may move."""

    code: RungCode
    target: Target
    moves: frozenset[Role]


EVERY_ROLE: frozenset[Role] = frozenset(
    ("flour", "fat", "sugar", "syrup", "egg", "liquid", "leavener")
)


def climb(brief: LadderBrief, seconds_left: SecondsLeft) -> Ladder:
    """Return the rungs worth standing on, the dropped ones, and the front.

    Where the deadline strikes, what was found by then, marked as not complete.
    """
    assert brief.target is not None, "a ladder brief has a target"
    limit = _crack_limit(brief.named_limits())
    rungs: list[Rung] = []
    front: list[FrontPoint] = []
    complete = True
    try:
        rungs.extend(_rungs(brief, seconds_left))
        front.extend(_front(brief, limit, seconds_left))
    except DeadlineStruck:
        complete = False
    kept, dropped = _undominated(rungs)
    return Ladder(
        limit_percent=float(limit.percent),
        rungs=tuple(kept),
        dropped=tuple(dropped),
        front=tuple(front),
        complete=complete,
        sensitivity=sensitivity(ReadyBrief(brief).before, brief.target, float(limit.percent)),
        limits_of_the_model=LIMITS_OF_THE_MODEL,
    )


def _rungs(brief: LadderBrief, seconds_left: SecondsLeft) -> Iterator[Rung]:
    assert brief.target is not None, "a ladder brief has a target"
    for way in _ways(brief.target):
        yield _climbed(brief, way, seconds_left)
    yield from _fat_swap(brief, _crack_limit(brief.named_limits()))


def _ways(target: Target) -> Iterator[_Way]:
    thinner = _thinner(target)
    yield _Way("as_written", target, frozenset())
    if thinner is not None:
        yield _Way("thinner", thinner, frozenset())
        chilled = thinner.model_copy(update={"chilled": True})
        yield _Way("thinner_chilled", chilled, frozenset())
    yield _Way("less_leavening", target, frozenset({"leavener"}))
    yield _Way("little_flour", target, frozenset({"flour"}))
    yield _Way("several_changes", target, EVERY_ROLE)
    if thinner is not None:
        yield _Way("thinner_several_changes", thinner, EVERY_ROLE)


def _thinner(target: Target) -> Target | None:
    thickness = max(THINNEST_STEP_MM, round(THINNER_BY * target.thickness_mm, 1))
    if not LEAST_THICKNESS_MM <= thickness < target.thickness_mm:
        return None
    return target.model_copy(update={"thickness_mm": thickness})


def _climbed(brief: LadderBrief, way: _Way, seconds_left: SecondsLeft) -> Rung:
    problem = Problem.of(brief.model_copy(update={"target": way.target}), seconds_left)
    problem = problem.under([*problem.limits, *_held(problem.ready, way.moves)])
    limit = _crack_limit(problem.limits)
    answer = problem.below() if way.moves else None
    if answer is None:
        fewer = problem.without(limit)
        answer = safest(limit, fewer) if way.moves else _staying(problem.ready)
    assert answer is not None, "a line may always stay, and the dough rolls as it is"
    return _rung(brief, way, answer, limit)


def _held(ready: ReadyBrief, moves: frozenset[Role]) -> list[Limit]:
    """Return limits that keep every line of the other roles."""
    held = tuple(k for k, line in enumerate(ready.lines) if line.role not in moves)
    return [ChangeLimit("keep", "the other lines", held, Fraction(0))]


def _staying(ready: ReadyBrief) -> Answer:
    options = ready.options(
        [ChangeLimit("keep", "every line", tuple(range(len(ready.lines))), Fraction(0))]
    )
    return Answer(ready, options, (0,) * len(options))


def _rung(brief: LadderBrief, way: _Way, answer: Answer, limit: CrackLimit) -> Rung:
    assert brief.target is not None, "a ladder brief has a target"
    chance = crack_chance(formula_of(answer), way.target)
    return Rung(
        code=way.code,
        words=_words(answer, brief.target, way.target),
        target=way.target,
        lines=lines_of(answer, [None] * len(answer.picks)),
        texture_cost=float(answer.cost) + _handling_cost(brief.target, way.target),
        chance=chance,
        reaches=exact(chance.percent) <= limit.percent,
    )


def _handling_cost(asked: Target, rolled: Target) -> float:
    thinned = 1 - rolled.thickness_mm / asked.thickness_mm
    return THINNING_COST * thinned + CHILLING_COST * (rolled.chilled and not asked.chilled)


def _words(answer: Answer, asked: Target, rolled: Target) -> str:
    doings = []
    if rolled.thickness_mm < asked.thickness_mm:
        doings.append(f"roll it {number(exact(rolled.thickness_mm))} mm thin")
    if rolled.chilled and not asked.chilled:
        doings.append("chill the cut pieces before they bake")
    for each, pick in zip(answer.options, answer.picks, strict=True):
        if pick:
            old, new = each.stay.amount, each.amount(pick)
            doings.append(_instead(each.line.name, old, new))
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


def _fat_swap(brief: LadderBrief, limit: CrackLimit) -> Iterator[Rung]:
    """Yield the rung on which shortening takes the butter's place, weight for weight."""
    shortening = pantry().find(FAT_TO_SWAP_IN)
    staying = _staying(ReadyBrief(brief))
    if shortening is None or not any(c.line.name == SWAPPED for c in staying.options):
        return
    options = tuple(
        _filled_with(shortening, each) if each.line.name == SWAPPED else each
        for each in staying.options
    )
    swapped = replace(staying, options=options)
    chance = crack_chance(formula_of(swapped), limit.target)
    yield Rung(
        code="fat_swap",
        words=f"Take {FAT_TO_SWAP_IN} instead of the {SWAPPED}, weight for weight.",
        target=limit.target,
        lines=lines_of(swapped, [None] * len(options)),
        texture_cost=float((brief.weight_of("fat") or 0) + MOVED_LINE_COST),
        chance=chance,
        reaches=exact(chance.percent) <= limit.percent,
    )


def _filled_with(ingredient: Ingredient, each: LineOptions) -> LineOptions:
    """Return a line of the same weight of another ingredient."""
    grams = each.stay.amount.grams
    amount = Amount((Part(ingredient, grams),), (Term(grams, "g"),))
    line = replace(each.line, ingredient=ingredient)
    return replace(each, line=line, stay=Measurable(amount, 0))


def _undominated(rungs: Sequence[Rung]) -> tuple[list[Rung], list[DroppedRung]]:
    kept, dropped = [], []
    for position, rung in enumerate(rungs):
        better = next(
            (other for at, other in enumerate(rungs) if _beats(other, rung, at < position)), None
        )
        if better is None or rung.code == "as_written":
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

    Of two as good the earlier one counts: it is the trade's first choice.
    """
    safer_by = other.chance.percent - one.chance.percent
    gentler_by = other.texture_cost - one.texture_cost
    as_good = safer_by >= -CHANCES_ALIKE and gentler_by >= 0
    return as_good and (earlier or gentler_by > 0 or safer_by > CHANCES_ALIKE)


def _front(
    brief: LadderBrief, limit: CrackLimit, seconds_left: SecondsLeft
) -> Iterator[FrontPoint]:
    """Yield the front from the dough as it is to the safest, evenly spaced in log odds."""
    problem = Problem.of(brief, seconds_left)
    best = safest(limit, problem.without(limit))
    assert best is not None, "the dough rolls as it is"
    as_it_is = crack_chance(problem.ready.before, limit.target)
    lowest = best.weighed.measured(limit)
    assert lowest is not None
    seen: set[tuple[int, ...]] = set()
    for at_most in _spaced(as_it_is, float(lowest), brief.points):
        eased = replace(limit, percent=exact(at_most))
        answer = problem.easing(limit, eased).below() or best
        if answer.picks not in seen:
            seen.add(answer.picks)
            chance = answer.weighed.measured(limit)
            yield FrontPoint(
                chance_percent=float(chance or 0),
                texture_cost=float(answer.cost),
                lines=lines_of(answer, [None] * len(answer.picks)),
            )


def _spaced(highest: CrackChance, lowest: float, points: int) -> list[float]:
    top = min(highest.percent, 99.9)
    odds = np.linspace(logit(top / 100), logit(max(lowest, 0.01) / 100), points)
    return [highest.percent, *(float(100 * p) for p in expit(odds)[1:-1]), lowest]


def _crack_limit(limits: Sequence[Limit]) -> CrackLimit:
    return next(limit for limit in limits if isinstance(limit, CrackLimit))
