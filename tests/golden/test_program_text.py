"""The exact text of the program, constraint by constraint, for a dough small enough to read.

To accept a change on purpose, delete `program.lp` and run this test twice; then read the diff.
"""

from pathlib import Path

from solver.search.highs import model
from solver.search.options import ReadyBrief
from solver.search.program import build
from tests.conftest import brief_of

GOLDEN = Path(__file__).with_name("program.lp")

TINY = {
    "recipe": {
        "lines": [
            {"ingredient": "all-purpose flour", "quantity": 100, "unit": "g"},
            {"ingredient": "egg", "quantity": 1, "unit": "each"},
            {"ingredient": "baking soda", "quantity": 0.5, "unit": "g"},
        ]
    },
    "window": {
        "flour_to_fat": {"min": 2, "max": 40},
        "soda_equivalent_percent": {"max": 0.4},
        "moisture_percent": {"min": 25},
    },
    "limits": {
        "may_add": ["lard"],
        "max_flour_change_percent": 2,
        "egg_percent": {"max": 60},
    },
    "measures": "us",
}


def test_every_constraint_reads_as_it_did():
    """One option a line, each side of each ratio, and some fat where flour to fat is bounded."""
    brief = brief_of(TINY)
    limits = brief.named_limits()
    program = build(ReadyBrief(brief).options(limits), limits)
    problem, _ = model(program)
    text = repr(problem)
    if not GOLDEN.exists():
        GOLDEN.write_text(text)
        raise AssertionError(f"{GOLDEN.name} was missing; it has been written, read it")
    assert text == GOLDEN.read_text()


def test_no_constraint_is_missing():
    """Every ratio bound of the brief has a row under its own name."""
    brief = brief_of(TINY)
    limits = brief.named_limits()
    names = [row.name for row in build(ReadyBrief(brief).options(limits), limits).rows]
    assert names == [
        "min_flour_to_fat",
        "max_flour_to_fat",
        "max_soda_equivalent_percent",
        "min_moisture_percent",
        "held_max_egg_percent",
        "some_fat",
    ]
