"""The ladder as a chart: every number readable, nothing on top of anything, for 1 to 20 rungs."""

import random
import re
from itertools import pairwise

import pytest

from service.drawings.ladder import draw_ladder
from service.drawings.ladder_plot import FrontMark, RungMark
from tests.service.drawings.seeing import SVG, all_words, box, level_words, read, speaks_for_itself

FRONT = [FrontMark(0.3, 25), FrontMark(0.0, 82), FrontMark(0.1, 60)]


def rungs_of(count: int, seed: int = 0) -> list[RungMark]:
    """Return rungs that cost ever more and crack ever less, some of them alike."""
    chance = random.Random(seed)
    marks = []
    for i in range(count):
        middle = 90 * 0.8**i + chance.uniform(0, 4)
        cost = 0.05 * (i - i % (1 + seed % 3))
        low, high = max(0.0, middle - 25), min(100.0, middle + 25)
        marks.append(RungMark(f"Rung {i + 1} of the ladder", cost, middle, low, high))
    return marks


@pytest.mark.parametrize("count", [0, 1, 2, 8, 12, 20])
@pytest.mark.parametrize("seed", range(5))
def test_no_words_cover_others(count, seed):
    """However many rungs, however close, all words stay on the page and apart."""
    svg = draw_ladder(rungs_of(count, seed), FRONT)
    speaks_for_itself(svg)
    root = read(svg)
    _, _, width, height = box(root)
    lines = level_words(root)
    for line in lines:
        assert line.left >= 0 and line.right <= width
        assert line.top >= 0 and line.bottom <= height
    pairs = [(a, b) for i, a in enumerate(lines) for b in lines[:i]]
    assert not [(a.text, b.text) for a, b in pairs if a.crosses(b)]


def test_every_rung_is_numbered_and_told():
    """Each number stands once beside its mark and once beside its words, range and cost."""
    rungs = rungs_of(12)
    svg = draw_ladder(rungs, FRONT)
    texts = [line.text for line in level_words(read(svg))]
    for i, rung in enumerate(rungs, 1):
        assert texts.count(f"{i}") == 2
        assert rung.label in texts
    words = all_words(svg).replace("\u00a0", " ")
    assert f"{rungs[0].chance_percent:.0f} % ({rungs[0].low_percent:.0f} to " in words
    assert f"cost {rungs[-1].texture_cost:.2f}" in words
    assert "limit 20 %" in words
    assert "a trial bake decides" in words


def test_marks_stand_where_their_figures_are():
    """Costs run to the right and chances upwards, each in its proportion."""
    figures = [(0, 80, 60, 90), (0.5, 40, 20, 60), (1, 0, 0, 9)]
    places = _marks(read(draw_ladder([RungMark("x", *rung) for rung in figures])))
    (x1, y1), (x2, y2), (x3, y3) = places
    assert x2 - x1 == pytest.approx(x3 - x2, abs=0.01)
    assert y2 - y1 == pytest.approx(y3 - y2, abs=0.01)
    assert x1 < x2 < x3 and y1 < y2 < y3


def test_rungs_that_cost_alike_stand_beside_each_other():
    """Their bars would cover one another; they are moved aside, and never far."""
    places = _marks(read(draw_ladder([RungMark("x", 0.2, 10.0 * i, 0, 90) for i in range(5)])))
    xs = sorted(x for x, _ in places)
    assert xs[-1] - xs[0] <= 32.01
    assert all(b - a > 0 for a, b in pairwise(xs))


def _marks(root):
    circles = [c for c in root.iter(f"{SVG}circle") if float(c.get("r")) > 4]
    return [(float(c.get("cx")), float(c.get("cy"))) for c in circles]


def test_the_front_descends_in_stairs():
    """In whatever order its points come, the line steps right and down, and runs on to the edge."""
    root = read(draw_ladder(rungs_of(3), FRONT))
    stairs = next(p.get("d") for p in root.iter(f"{SVG}path") if p.get("stroke-width") == "1.2")
    points = [(float(x), float(y)) for x, y in re.findall(r"([\d.]+) ([\d.]+)", stairs)]
    assert len(points) == 2 * len(FRONT)
    for (x1, y1), (x2, y2) in pairwise(points):
        assert (x1 == x2 and y2 >= y1) or (y1 == y2 and x2 >= x1)


@pytest.mark.parametrize("limit", [1, 20, 50, 100])
def test_the_limit_is_always_in_sight(limit):
    """However low every chance, the plane reaches up to the limit."""
    root = read(draw_ladder([RungMark("x", 0, 1, 0, 2)], limit_percent=limit))
    line = next(p for p in root.iter(f"{SVG}path") if p.get("stroke-dasharray") == "7 4")
    level = float(re.findall(r"M[\d.]+ ([\d.]+)", line.get("d"))[0])
    assert 0 < level < box(root)[3]
    assert f"limit {limit} %" in all_words(draw_ladder([], limit_percent=limit))


@pytest.mark.parametrize("label", ["</text><script>", "a & b", "x" * 300, "\x00\u202e"])
def test_labels_cannot_break_the_chart(label):
    """Names that a caller gave stay text, on the page."""
    svg = draw_ladder([RungMark(label, 0.1, 30, 10, 50)])
    speaks_for_itself(svg)
    root = read(svg)
    assert all(line.right <= box(root)[2] for line in level_words(root))
