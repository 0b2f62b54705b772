"""Doughs and briefs that many tests share, each with a sentence on what it is."""

import json
import os
from typing import Any

import pytest
from hypothesis import settings

import service as service  # before NumPy: it says how many threads NumPy may take
from models.brief import Brief
from tests.service.databases import database as database
from tests.service.databases import database_url as database_url

LONGEST_FIRST = (
    "end_to_end/test_runs_survive",
    "end_to_end/test_page",
    "end_to_end",
    "published/test_solvers_agree",
    "solver/test_brute_force",
    "service/runs",
    "properties",
)
"""Parts of the names of long files: begun last, one of them would leave a core idle."""

settings.register_profile("formhold", deadline=None)  # a busy machine is no failure
settings.load_profile("formhold")


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Keep the order as it is drawn, but for the longest files."""

    def place(item: pytest.Item) -> int:
        found = (at for at, part in enumerate(LONGEST_FIRST) if part in item.nodeid)
        return next(found, len(LONGEST_FIRST))

    items.sort(key=place)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """One more than there are cores: some tests wait for a server more than they work."""
    return len(os.sched_getaffinity(0)) + 1


def brief_of(value: dict[str, Any]) -> Brief:
    """Return the brief that a caller's JSON stands for."""
    return Brief.model_validate_json(json.dumps(value))


@pytest.fixture
def lantern() -> dict[str, Any]:
    """The lantern-makers' ginger dough of Wickhollow, with the window of their lantern panels.

    Written out by hand: flour to fat must rise, soda must fall from 1 1/2 tsp to 1 tsp.
    """
    lines = [
        ("all-purpose flour", 3.5, "cup"),
        ("unsalted butter", 227, "g"),
        ("egg", 1, "each"),
        ("brown sugar", 0.75, "cup"),
        ("molasses", 1 / 3, "cup"),
        ("baking soda", 1.5, "tsp"),
        ("ground ginger", 1, "tbsp"),
        ("salt", 0.5, "tsp"),
    ]
    return {
        "recipe": {
            "title": "Lantern ginger dough",
            "lines": [{"ingredient": i, "quantity": q, "unit": u} for i, q, u in lines],
        },
        "window": {
            "flour_to_fat": {"min": 2.1, "max": 2.4},
            "soda_equivalent_percent": {"max": 1.0},
            "moisture_percent": {"min": 18, "max": 30},
        },
        "limits": {
            "keep": ["molasses"],
            "max_flour_change_percent": 15,
            "liquid_per_flour": {"min": 0.3},
        },
    }
