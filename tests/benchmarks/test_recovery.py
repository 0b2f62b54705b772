"""How well kitchens are recovered: 24 of them, 200 pieces kept back in each. Printed, not asserted.

The belief's own page has log-losses of .440, .392, .373, .363 after 0, 5, 20 and 40 trays, where
the truth loses .337: in excess of the truth .103, .055, .036, .026.
"""

import time

import numpy as np
import pytest
from scipy.special import expit

from solver.mechanics.evidence import draws_at, strain_scores
from solver.mechanics.lessons import learn
from solver.mechanics.trays import evidence_of
from tests.simulated_kitchens import SimulatedKitchen, any_plan, log_loss

KITCHENS, KEPT_BACK, COUNTS = 24, 200, (0, 5, 20, 40)


@pytest.mark.benchmark
def test_recovery_is_printed(capsys):
    """The table of log-losses, in all and beyond the truth's, and how long 40 trays take."""
    losses: dict[object, list[float]] = {count: [] for count in (*COUNTS, "truth")}
    seconds, leanings = [], []
    foretold: dict[int, list[np.ndarray]] = {count: [] for count in COUNTS}
    for seed in range(KITCHENS):
        kitchen, chances = SimulatedKitchen.drawn(seed), np.random.default_rng(1000 + seed)
        plans = [any_plan(chances) for _ in range(KEPT_BACK)]
        cracked, likely = map(np.array, zip(*map(kitchen.cracks, plans), strict=True))
        losses["truth"].append(log_loss(likely, cracked))
        trays = [kitchen.bake(any_plan(chances)) for _ in range(40)]
        kept_back = evidence_of(plans)
        for count in COUNTS:
            began = time.perf_counter()
            learned = learn(trays[:count])
            if count == COUNTS[-1]:
                seconds.append(time.perf_counter() - began)
                leanings.append(learned.tally_share)
            z, _ = strain_scores(kept_back, draws_at(learned.belief.scores(512)))
            chances = expit(z).mean(axis=0)
            losses[count].append(log_loss(chances, cracked))
            foretold[count].append(np.stack([chances, cracked]))
    with capsys.disabled():
        print()
        for count, found in losses.items():
            beyond = np.array(found) - np.array(losses["truth"])
            error = np.std(found) / np.sqrt(KITCHENS)
            print(f"{count!s:>6}  {np.mean(found):.3f} ± {error:.3f}  beyond {beyond.mean():+.3f}")
        for count, pairs in foretold.items():
            chance, came = np.concatenate(pairs, axis=1)
            within = (chance >= 0.15) & (chance < 0.25)
            said, was = 100 * chance[within].mean(), 100 * came[within].mean()
            print(f"after {count} trays, of {within.sum()} given {said:.0f} %, {was:.0f} % cracked")
        print(f"40 trays learned in {np.median(seconds):.2f} s, {max(seconds):.2f} s at the most")
        print(f"leaning on the plain tally: {np.mean(leanings):.2f} on average")
