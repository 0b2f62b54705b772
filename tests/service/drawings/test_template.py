"""The drawing of a template: true to size, with its numbers as text, on one page where it fits."""

import json
import re

import pytest

from models.target import Target
from models.template import template
from service.drawings.template import draw_template, path_of
from tests.models.test_template import EVERY
from tests.service.drawings.seeing import SVG, all_words, box, level_words, read, speaks_for_itself


def target_of(form, thickness=4):
    return Target.model_validate_json(json.dumps({"form": form, "thickness_mm": thickness}))


def drawn(form, paper="a4", thickness=4):
    target = target_of(form, thickness)
    return draw_template(target, template(target), paper)


@pytest.mark.parametrize("form", EVERY)
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_millimetre_is_a_millimetre(form, paper):
    """Width and height are in millimetres and equal to the viewBox, to the last digit."""
    svg = drawn(form, paper)
    speaks_for_itself(svg)
    root = read(svg)
    x, y, width, height = box(root)
    assert (x, y) == (0, 0)
    assert root.get("width") == f"{width:g}mm"
    assert root.get("height") == f"{height:g}mm"
    assert f"@page{{size:{width:g}mm {height:g}mm;margin:0}}" in root.find(f"{SVG}style").text


@pytest.mark.parametrize("form", EVERY)
def test_the_bar_is_a_hundred_millimetres(form):
    """The bar to check a print by is 100 mm, in ten centimetres of black and white by turns."""
    root = read(drawn(form))
    bars = [r for r in root.iter(f"{SVG}rect") if r.get("height") == "2"]
    assert float(bars[0].get("width")) == 100
    assert [float(bar.get("width")) for bar in bars[1:]] == [10] * 5
    assert [float(b.get("x")) - float(bars[0].get("x")) for b in bars[1:]] == [0, 20, 40, 60, 80]
    assert "100 mm" in all_words(drawn(form))


@pytest.mark.parametrize("form", EVERY)
def test_the_knife_follows_the_outline(form):
    """The path drawn ends each cut where the outline does, with the same radii and turns."""
    outline = template(target_of(form)).outline
    steps = re.findall(r"([MLA])([^MLAZ]*)", path_of(outline, 3, 5))
    ends = [[float(n) for n in numbers.split()] for _, numbers in steps]
    places = [outline.start, *(cut.to for cut in outline.cuts)]
    for numbers, place in zip(ends, places, strict=True):
        assert numbers[-2:] == pytest.approx([place.x_mm + 3, place.y_mm + 5], abs=5e-4)
    for (step, _), numbers, cut in zip(steps[1:], ends[1:], outline.cuts, strict=True):
        assert step == ("A" if cut.kind == "arc" else "L")
        if step == "A":
            assert numbers[0] == numbers[1] == pytest.approx(cut.radius_mm, abs=5e-4)
            assert numbers[3:5] == [cut.over_half, cut.clockwise]


def test_an_arc_that_hardly_sags_is_drawn_straight():
    """A radius of a kilometre, which no renderer can hold, is drawn as the line it looks like."""
    steep = {
        "kind": "cone",
        "base_diameter_mm": 991,
        "top_diameter_mm": 990,
        "height_mm": 1000,
        "wrap_degrees": 10,
    }
    outline = template(target_of(steep)).outline
    assert "A" not in path_of(outline)
    inner, outer = outline.cuts[0], outline.cuts[2]
    assert min(inner.radius_mm, outer.radius_mm) > 9e5


@pytest.mark.parametrize("form", EVERY)
def test_what_is_printed_stays_on_the_page(form):
    """No words run off the page, and no two lines of them lie on each other."""
    root = read(drawn(form))
    _, _, width, height = box(root)
    lines = level_words(root)
    for line in lines:
        assert line.left >= 0 and line.top >= 0
        assert line.right <= width and line.bottom <= height
    pairs = [(a, b) for i, a in enumerate(lines) for b in lines[:i]]
    assert not [(a.text, b.text) for a, b in pairs if a.crosses(b)]


def test_sizes_are_written():
    """A cylinder of 2 3/4 in wrapped 170 degrees at 1/8 in is cut to 108.3 by 100.0 mm."""
    form = {"kind": "cylinder", "diameter_mm": "2 3/4 in", "wrap_degrees": 170}
    words = all_words(drawn(form, thickness="1/8 in"))
    for part in ("Cylinder", "108.3 mm (4 1/4 in)", "100.0 mm (3 15/16 in)", "43.3 g of dough"):
        assert part in words


def test_a_piece_larger_than_the_paper_says_so():
    """It is drawn whole in true size, with the edges of the sheets and how many there are."""
    svg = drawn({"kind": "flat_panel", "width_mm": 400, "height_mm": 350})
    words = all_words(svg)
    assert "Larger than A4: print at 100 % on 4 sheets, 2 across and 2 down." in words
    assert [f"sheet {i}" in words for i in range(1, 6)] == [True] * 4 + [False]
    assert box(read(svg))[2:] == [2 * 277, 2 * 190]


def test_the_largest_piece_is_a_small_drawing_still():
    """Two metres of dome take 96 sheets, each with its number."""
    svg = drawn({"kind": "dome", "diameter_mm": 1000, "cap_degrees": 120})
    assert "sheet 96" in all_words(svg)
    assert "sheet 97" not in all_words(svg)
    assert len(svg) < 30_000


def test_letter_paper_is_letter_paper():
    """8 1/2 by 11 in is 215.9 by 279.4 mm."""
    assert box(read(drawn({"kind": "flat_round", "diameter_mm": 60}, "letter")))[2:] == [
        215.9,
        279.4,
    ]


def test_a_tiny_piece_is_drawn_whole():
    """A strip of 2 by 20 mm keeps its crown line; the line's name, which has no room, goes."""
    strip = {"kind": "cylinder", "diameter_mm": 20, "wrap_degrees": 10, "length_mm": 20}
    svg = drawn(strip, thickness=1.5)
    assert "crown" not in all_words(svg)
    assert "4 1.5 0.8 1.5" in svg
    assert "1.9 mm (1/16 in)" in all_words(svg)
