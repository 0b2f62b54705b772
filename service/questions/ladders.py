"""Ladders: the rungs of `solver.ladder` with their chart."""

from models.ladder import FrontPoint, Ladder, LadderBrief, Rung
from models.value import Value
from service.drawings.ladder import draw_ladder
from service.drawings.ladder_plot import FrontMark, RungMark
from solver.ladder import climb
from solver.search.deadline import SecondsLeft


class DrawnLadder(Value):
    """A ladder and its chart, as SVG."""

    ladder: Ladder
    svg: str


def drawn_ladder(asked: LadderBrief, seconds_left: SecondsLeft) -> DrawnLadder:
    """Return the ladder that was asked for, and its chart."""
    ladder = climb(asked, seconds_left)
    rungs = [_mark(rung) for rung in ladder.rungs]
    front = [_front_mark(point) for point in ladder.front]
    return DrawnLadder(
        ladder=ladder, svg=draw_ladder(rungs, front, limit_percent=ladder.limit_percent)
    )


def _mark(rung: Rung) -> RungMark:
    return RungMark(
        label=rung.words,
        texture_cost=rung.texture_cost,
        chance_percent=rung.chance.percent,
        low_percent=rung.chance.low_percent,
        high_percent=rung.chance.high_percent,
    )


def _front_mark(point: FrontPoint) -> FrontMark:
    return FrontMark(texture_cost=point.texture_cost, chance_percent=point.chance_percent)
