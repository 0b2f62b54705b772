"""The ladder: the trade's ways to make a dough hold, each as little as can be, and their trade-off.

Each rung is the least cost of its kind by the same program as a reformulation: what may move and
which sheets may be rolled differ. A rung that cannot reach the chance asked for is the step that
the trade would take; where nothing is known of such a dough, those steps are all there is. The
front holds, for a dozen chances, the least cost over all doughs and sheets.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from models.chance import EVENT, chance_figure
from models.ingredient import Role
from models.ladder import DroppedRung, FrontPoint, Ladder, LadderBrief, Rung, RungCode, Step
from models.limits import MOVABLE_ROLES, ChangeLimit, Limit
from models.target import LEAST_THICKNESS_MM, Target
from solver.answers.fat_swap import fat_swap
from solver.answers.front import front_of
from solver.answers.kitchen_words import estimate_in_kitchen
from solver.answers.rung import rung_of, step_of
from solver.answers.sizing import sized_for_pieces
from solver.mechanics.dough import LIMITS_OF_THE_MODEL
from solver.mechanics.experience import unusual
from solver.mechanics.levers import sensitivity
from solver.search.answer import Answer, DeadlineStruck
from solver.search.deadline import SecondsLeft
from solver.search.options import LineOptions
from solver.search.problem import Problem
from solver.search.sheets import Sheet, sheets_of

THINNEST_STEP_MM = 2.0
"""Thinner than this a sheet tears when it is lifted; common practice, no source. The caller may
allow more."""

CHANCES_ALIKE = 1.0
"""Two rungs whose chances differ by less than a point are as safe as each other."""

USUAL_STEPS: dict[Role, Fraction] = {"leavener": Fraction(1, 2), "flour": Fraction(11, 10)}
"""Half the leavening, a tenth more flour: common practice, no source."""

EVERY_ROLE = frozenset(MOVABLE_ROLES)
_NOTHING: frozenset[Role] = frozenset()

NEAR_A_STEP = 0.1
"""No baker tells a step from one that misses it by a tenth of it."""

THINNER_SHARE = 0.75
"""A sheet a quarter thinner, where no chance says what suffices: common practice, no source."""

SINGLE_CHANGES: frozenset[RungCode] = frozenset(
    ("as_written", "thinner", "less_leavening", "little_flour")
)


@dataclass(frozen=True)
class _Way:
    """One way up: the sheets that it may roll and the roles that it may move."""

    code: RungCode
    sheets: tuple[Sheet, ...]
    moves: frozenset[Role]


def climb(brief: LadderBrief, seconds_left: SecondsLeft, *, with_front: bool = True) -> Ladder:
    """Return the rungs worth standing on, the dropped ones, and the front unless left out: it
    takes ten times as long as the rungs.

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
    steps: list[Step] = []
    complete = True
    try:
        if strange:
            steps.extend(_steps(problem, target))
        else:
            rungs.extend(_rungs(problem, target))
            if with_front:
                free = problem.rolled(sheets_of(free_sheet(target)))
                front.extend(front_of(free, target, brief.points))
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
        steps=tuple(steps),
        complete=complete,
        sensitivity=None if strange else sensitivity(before, target, limit, draws),
        kitchen=estimate_in_kitchen(brief.taught, [(before, target)]),
        outside_experience=strange,
        limits_of_the_model=LIMITS_OF_THE_MODEL,
    )


def _rungs(problem: Problem, target: Target) -> Iterator[Rung]:
    for way in _ways(target):
        yield _climbed(problem, way, target)
    staying = problem.under([*problem.limits, *_held(problem, _NOTHING)])
    yield from fat_swap(staying, target)


def free_sheet(target: Target) -> Target:
    """Return the target with every sheet that a ladder may roll."""
    least = target.may_roll_to_mm
    if least is None:
        least = max(LEAST_THICKNESS_MM, min(THINNEST_STEP_MM, target.thickness_mm))
    return target.model_copy(update={"may_roll_to_mm": least, "may_chill": True})


def _steps(problem: Problem, target: Target) -> Iterator[Step]:
    """Yield the trade's usual steps on a dough of which no chance is known, each by itself and then
    all together."""
    planned, thinner = sheets_of(target)[0], _a_quarter_thinner(target)
    usual = frozenset(USUAL_STEPS)
    ways = [
        _Way("thinner", (thinner,), _NOTHING),
        _Way("less_leavening", (planned,), frozenset({"leavener"})),
        _Way("little_flour", (planned,), frozenset({"flour"})),
        _Way("thinner_several_changes", (thinner,), usual),
    ]
    for way in ways:
        here = problem.under([*problem.limits, *_held(problem, way.moves)])
        answer = _stepped_on(here.at(way.sheets[0]), way)
        if answer.cost:
            yield step_of(way.code, answer, target)


def _a_quarter_thinner(target: Target) -> Sheet:
    """Return the sheet at the thickest guide that takes a quarter off, or as near as there is."""
    sheets = [s for s in sheets_of(free_sheet(target)) if s.target.chilled == target.chilled]
    most = THINNER_SHARE * target.thickness_mm
    enough = [sheet for sheet in sheets if sheet.target.thickness_mm <= most]
    return (enough or sheets[-1:])[0]


def _ways(target: Target) -> Iterator[_Way]:
    every = sheets_of(free_sheet(target))
    planned = tuple(s for s in every if s.target.thickness_mm == target.thickness_mm)
    thin = tuple(s for s in every if s.target.thickness_mm < target.thickness_mm)
    as_given, chilled = (
        [tuple(s for s in some if s.target.chilled == cold) for some in (planned, thin)]
        for cold in (target.chilled, True)
    )
    yield _Way("as_written", as_given[0], _NOTHING)
    if thin:
        yield _Way("thinner", as_given[1], _NOTHING)
    if not target.chilled:
        yield _Way("chilled", chilled[0], _NOTHING)
        if thin:
            yield _Way("thinner_chilled", chilled[1], _NOTHING)
    yield _Way("less_leavening", planned, frozenset({"leavener"}))
    yield _Way("little_flour", planned, frozenset({"flour"}))
    yield _Way("several_changes", planned, EVERY_ROLE)
    if thin:
        yield _Way("thinner_less_leavening", thin, frozenset({"leavener"}))
        yield _Way("thinner_several_changes", thin, EVERY_ROLE)


def _climbed(problem: Problem, way: _Way, target: Target) -> Rung:
    held = _held(problem, way.moves)
    here = problem.under([*problem.limits, *held]).rolled(way.sheets)
    least = here.below()
    answer = sized_for_pieces(here, least)[1] if least else _usual_step(here, way)
    return rung_of(problem, way.code, answer, target)


def _usual_step(problem: Problem, way: _Way) -> Answer:
    """Return the step that the trade takes where even the most of a kind would not be enough.

    Half the leavening, a tenth more flour, the sheet that cracks least: a step on the way, for all
    of the leavening gone is no dough that anyone wants. Chilled only where the way is to chill.
    """
    steps = []
    for sheet in _least_chilled(way.sheets):
        here = problem.at(sheet)
        limit = here.crack_limit
        answer = _stepped_on(here.without(limit), way)
        steps.append((answer.weighed.measured(limit) or Fraction(0), answer.cost, answer))
    return min(steps, key=lambda step: step[:2])[2]


def _least_chilled(sheets: Sequence[Sheet]) -> list[Sheet]:
    warm = [sheet for sheet in sheets if not sheet.target.chilled]
    return warm or list(sheets)


def _stepped_on(problem: Problem, way: _Way) -> Answer:
    """Return the usual step, or the dough as it is where that breaks a limit."""
    picks = tuple(_stepped(each) if _steps_in(each, way) else 0 for each in problem.options)
    answer = problem.answer(picks)
    return answer if answer.meets(problem.limits) else problem.answer((0,) * len(picks))


def _steps_in(each: LineOptions, way: _Way) -> bool:
    return each.line.role in USUAL_STEPS and each.line.role in way.moves and each.line.grams > 0


def _stepped(each: LineOptions) -> int:
    """Return the option nearest to the usual step of its role; of those that miss it by no more
    than a tenth of the step, the one that is soonest measured."""
    wanted = float(USUAL_STEPS[each.line.role])
    missed = np.abs(each.grams / float(each.line.grams) - wanted)
    near = np.flatnonzero(missed <= NEAR_A_STEP * abs(1 - wanted))
    if not len(near):
        return int(missed.argmin())
    return int(min(near, key=lambda pick: (each.counts_of(int(pick)), missed[pick])))


def _held(problem: Problem, moves: frozenset[Role]) -> list[Limit]:
    """Return a limit that keeps every line of the other roles."""
    lines = problem.ready.lines
    held = tuple(k for k, line in enumerate(lines) if line.role not in moves)
    return [ChangeLimit("keep", "the other lines", held, Fraction(0))]


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
        if _same(better, rung):
            why = f"It comes to the same: {better.words[0].lower()}{better.words[1:]}"
            dropped.append(DroppedRung(code=rung.code, why=why))
            continue
        why = (
            f"{better.words.removesuffix('.')}: that leaves a chance of "
            f"{chance_figure(better.chance.percent)} against "
            f"{chance_figure(rung.chance.percent)}, and harms the texture no more."
        )
        dropped.append(DroppedRung(code=rung.code, why=why))
    return kept, dropped


def _same(one: Rung, other: Rung) -> bool:
    return (one.words, one.target) == (other.words, other.target)


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
