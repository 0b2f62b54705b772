"""Simulated kitchens: how many bakes a good recipe takes, by the next bake and by the trade's ways.

Printed, not asserted. TASKS sets how many tasks a truth has (40 unless told), SEED the first seed.
Paired: every policy meets the same kitchens. Success counts recipes that hold in truth; tasks in
which no way holds are kept apart, scored by whether and how early a policy says so.
"""

import os
import time
from dataclasses import dataclass, field

import numpy as np
import pytest
from scipy.special import expit

from solver.kitchen.worth import CLOSER, SAFER, Leaning
from solver.mechanics.lessons import learn
from solver.next_bake import advise
from tests.simulated_tasks import (
    TRUTHS,
    Policy,
    Task,
    at_random,
    big_steps,
    jump,
    one_change_ladder,
    tasks,
)

TASKS, SEED = int(os.environ.get("TASKS", "40")), int(os.environ.get("SEED", "1000"))
MOST_BAKES = 8


@dataclass
class Score:
    """What a policy reached."""

    held: list[bool] = field(default_factory=list)
    bakes: list[int] = field(default_factory=list)
    beyond: list[float] = field(default_factory=list)
    gave_up: list[bool] = field(default_factory=list)
    hopeless_bakes: list[int] = field(default_factory=list)


class NextBake:
    """The product's own advice, followed; what it said is kept for its calibration."""

    def __init__(self, leaning: Leaning) -> None:
        self.leaning = leaning
        self.said: list[tuple[float, float, bool, float]] = []
        self.seconds: list[float] = []

    def __call__(self, task: Task) -> tuple[int | None, int]:
        bakes = 0
        while True:
            began = time.perf_counter()
            advice = advise(task.ways, learn(task.trials), self.leaning)
            self.seconds.append(time.perf_counter() - began)
            at = task.ways.places[advice.way.dough, advice.way.thickness_mm]
            if advice.decision == "not_with_this_dough":
                return None, bakes
            if advice.decision == "publish" or bakes == MOST_BAKES:
                true = float(expit(task.z[at]))
                self.said.append((advice.likely, advice.chance, bool(task.holds[at]), true))
                return at, bakes
            tray = task.ways.tray_of(at)
            task.bake({at: 2, **{one: 1 for one in tray if one != at}})
            bakes += 1


def policies() -> dict[str, Policy]:
    """Every way to go about it, by name."""
    return {
        "next bake, safer": NextBake(SAFER),
        "next bake, closer": NextBake(CLOSER),
        "one change, to 3 mm": one_change_ladder((4.0, 3.5, 3.0)),
        "one change, to 2.5 mm": one_change_ladder((4.0, 3.0, 2.5)),
        "big step at 3 mm, 1 tray": big_steps(3.0, 1),
        "big step at 3 mm, 2 trays": big_steps(3.0, 2),
        "big step at 2.5 mm, 2 trays": big_steps(2.5, 2),
        "jump to 3 mm, no bake": jump(3.0),
        "jump to 2.5 mm, no bake": jump(2.5),
        "random, 1 good tray": at_random,
    }


@pytest.mark.benchmark
@pytest.mark.parametrize("truth", TRUTHS)
def test_policies_are_compared(truth, capsys):
    """For each policy: how often its recipe holds, its bakes (mean, median, 90th percentile), and
    its cost above the least that holds."""
    tried = policies()
    scores = {name: Score() for name in tried}
    met = 0
    for task in tasks(truth, SEED):
        can = bool(task.holds.any())
        met += can
        for name, policy in tried.items():
            mine = task.afresh()
            at, bakes = policy(mine)
            score = scores[name]
            if not can:
                score.gave_up.append(at is None)
                score.hopeless_bakes.append(bakes)
                continue
            score.held.append(at is not None and bool(task.holds[at]))
            score.bakes.append(bakes)
            if at is not None:
                score.beyond.append(float(task.ways.costs[at]) - task.least_cost)
        if met == TASKS:
            break
    with capsys.disabled():
        _print(truth, scores, tried)


def _print(truth: str, scores: dict[str, Score], tried: dict[str, Policy]) -> None:
    ladder = np.mean(scores["one change, to 3 mm"].bakes)
    big = np.mean(scores["big step at 3 mm, 2 trays"].bakes)
    print(f"\n{truth}: {TASKS} tasks from seed {SEED}")
    for name, score in scores.items():
        bakes = np.array(score.bakes)
        print(
            f"  {name:28} held {np.mean(score.held):.2f}  bakes {bakes.mean():.1f} "
            f"({np.median(bakes):.0f}, {np.percentile(bakes, 90):.0f})  "
            f"cost +{np.mean(score.beyond or [0]):.2f}  of the ladder's bakes "
            f"{bakes.mean() / ladder:.2f}, of big 2's {bakes.mean() / big:.2f}"
        )
    for name, policy in tried.items():
        if isinstance(policy, NextBake):
            _print_calibration(name, policy, scores[name])


def _print_calibration(name: str, policy: NextBake, score: Score) -> None:
    said = np.array([one[:2] for one in policy.said]).reshape(-1, 2)
    was = np.array([one[2:] for one in policy.said]).reshape(-1, 2)
    sure = said[:, 0] >= 0.85
    print(f"  {name}: says holds {said[:, 0].mean():.2f}, held {was[:, 0].mean():.2f};", end=" ")
    if sure.any():
        print(f"where 85 % sure ({sure.sum()}) {was[sure, 0].mean():.2f} held;", end=" ")
    print(f"chance said {said[:, 1].mean():.3f}, true {was[:, 1].mean():.3f};", end=" ")
    if score.gave_up:
        print(
            f"of {len(score.gave_up)} hopeless {np.mean(score.gave_up):.2f} said so "
            f"after {np.mean(score.hopeless_bakes):.1f} bakes;",
            end=" ",
        )
    print(f"{np.median(policy.seconds):.2f} s a choice, {max(policy.seconds):.2f} at most")
