"""How far lines may move and what may be added: at its end a reach holds, beyond it is named.

The figures are the contract's.
"""

import pytest

from solver.reformulate import reformulate
from tests.solver.answers.tampering import (
    BUTTER,
    DOUGH,
    FLOUR,
    SALT,
    SODA,
    SUGAR,
    added,
    dough,
    faults,
    moved,
)


def limited(**limits):
    return {"limits": limits}


REACH = "moved beyond its reach"
BY_PERCENT = "moved by more than"
TOO_MUCH = "more was added than may be"
STAYS = "its role does not"

EDGES = [
    ("half the butter", {}, moved(BUTTER, "100 g", 100.0), REACH, False),
    ("less than half", {}, moved(BUTTER, "99 g", 99.0), REACH, True),
    ("half as much again", {}, moved(BUTTER, "300 g", 300.0), REACH, False),
    ("a gram more", {}, moved(BUTTER, "301 g", 301.0), REACH, True),
    ("no soda", {}, moved(SODA, "none", 0.0), REACH, False),
    ("half as much soda again", {}, moved(SODA, "1 tbsp", 13.8, (1, "tbsp")), REACH, False),
    ("more soda", {}, moved(SODA, "1 tbsp + 1/4 tsp", 14.95), REACH, True),
    ("no sugar", {}, moved(SUGAR, "none", 0.0), REACH, True),
    ("a fifth more flour", {}, moved(FLOUR, "480 g", 480.0), REACH, False),
    ("a gram more of it", {}, moved(FLOUR, "481 g", 481.0), REACH, True),
    ("a fifth less", {}, moved(FLOUR, "320 g", 320.0), REACH, False),
    ("a gram less of it", {}, moved(FLOUR, "319 g", 319.0), REACH, True),
    (
        "within the flour's percentage",
        limited(max_flour_change_percent=5),
        moved(FLOUR, "420 g", 420.0),
        REACH,
        False,
    ),
    (
        "beyond it",
        limited(max_flour_change_percent=5),
        moved(FLOUR, "421 g", 421.0),
        REACH,
        True,
    ),
    (
        "within its change",
        limited(max_change_percent={"butter": 10}),
        moved(BUTTER, "220 g", 220.0),
        BY_PERCENT,
        False,
    ),
    (
        "beyond its change",
        limited(max_change_percent={"butter": 10}),
        moved(BUTTER, "221 g", 221.0),
        BY_PERCENT,
        True,
    ),
    (
        "beyond its change downwards",
        limited(max_change_percent={"butter": 10}),
        moved(BUTTER, "179 g", 179.0),
        BY_PERCENT,
        True,
    ),
    (
        "another's change",
        limited(max_change_percent={"granulated sugar": 10}, keep=["egg"]),
        moved(BUTTER, "221 g", 221.0),
        BY_PERCENT,
        False,
    ),
    ("kept", limited(keep=["butter"]), moved(BUTTER, "201 g", 201.0), BY_PERCENT, True),
    (
        "milk to three tenths",
        limited(may_add=["whole milk"]),
        added("whole milk", "liquid", "120 g", 120.0),
        TOO_MUCH,
        False,
    ),
    (
        "more milk",
        limited(may_add=["whole milk"]),
        added("whole milk", "liquid", "121 g", 121.0),
        TOO_MUCH,
        True,
    ),
    (
        "ammonia to a twentieth",
        limited(may_add=["baker's ammonia"]),
        added("baker's ammonia", "leavener", "20 g", 20.0),
        TOO_MUCH,
        False,
    ),
    (
        "more ammonia",
        limited(may_add=["baker's ammonia"]),
        added("baker's ammonia", "leavener", "21 g", 21.0),
        TOO_MUCH,
        True,
    ),
    ("salt", {}, moved(SALT, "1 tsp", 6.0, (1, "tsp")), STAYS, True),
    ("salt that may", {"weights": {"salt": 1}}, moved(SALT, "1 tsp", 6.0), STAYS, False),
    ("butter", {}, moved(BUTTER, "201 g", 201.0), STAYS, False),
]


@pytest.fixture(scope="module")
def unchanged():
    return reformulate(dough())


@pytest.mark.parametrize(
    ("members", "tampered", "fault", "broken"),
    [case[1:] for case in EDGES],
    ids=[case[0] for case in EDGES],
)
def test_a_reach_ends_where_it_is_said_to(unchanged, members, tampered, fault, broken):
    """At its end a reach still holds, the next measure beyond it is named."""
    told = [one for one in faults(dough(**members), tampered(unchanged)) if fault in one]
    assert bool(told) == broken, told


def test_of_two_lines_alike_each_keeps_its_change():
    """A limit by name is on every line of that name."""
    twice = [*DOUGH, ("unsalted butter", 100, "g")]
    brief = dough(twice, limits={"max_change_percent": {"butter": 10}})
    honest = reformulate(brief)
    for at, grams in ((BUTTER, 221), (len(DOUGH), 111)):
        told = faults(brief, moved(at, f"{grams} g", float(grams))(honest))
        assert [one for one in told if BY_PERCENT in one]
