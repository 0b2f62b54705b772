"""The section of a form: to scale, with its numbers as text, and the same in black and white."""

import re

import pytest

from service.drawings.course import WHISKER
from service.drawings.section import draw_section
from tests.models.test_template import EVERY
from tests.service.drawings.conftest import state_of
from tests.service.drawings.seeing import SVG, all_words, box, level_words, read, speaks_for_itself

CYLINDER = {"kind": "cylinder", "diameter_mm": "2 3/4 in", "wrap_degrees": 170}


@pytest.mark.parametrize("form", EVERY)
@pytest.mark.parametrize("stacked", [False, True])
def test_every_form_is_drawn(form, stacked, before_and_after):
    """Side by side or stacked, it stands alone, fits a page, and no words lie on others."""
    svg = draw_section(before_and_after(form), stacked=stacked)
    speaks_for_itself(svg)
    root = read(svg)
    _, _, width, height = box(root)
    lines = level_words(root)
    for line in lines:
        assert 0 <= line.left < line.right <= width
        assert 0 <= line.top < line.bottom <= height
    pairs = [(a, b) for i, a in enumerate(lines) for b in lines[:i]]
    assert not [(a.text, b.text) for a, b in pairs if a.crosses(b)]


def test_it_scales_to_any_screen(before_and_after):
    """It has a viewBox and no size of its own; stacked it is half as wide."""
    beside, above = (
        read(draw_section(before_and_after(CYLINDER), stacked=stacked)) for stacked in (False, True)
    )
    assert beside.get("width") is beside.get("height") is None
    assert box(above)[2] < 400 < box(beside)[2]


def test_numbers_are_written(before_and_after):
    """Both thicknesses, the greatest strain, its three parts and the chance are there to read."""
    states = before_and_after(CYLINDER)
    words = all_words(draw_section(states)).replace("\u00a0", " ")
    for state in states:
        demand = state.chance.demand
        for part in ("bend", "rise", "flow"):
            assert f"{part} {100 * getattr(demand, part):.1f} %" in words
        assert f"{100 * demand.total:.1f} %" in words
        assert f"cracks at about {100 * state.chance.crack_strain:.1f} %" in words
        assert f"{float(state.course.profile.thickness_after_mm[0]):.2f} mm" in words
    assert "4.76 mm rolled" in words and "3.00 mm rolled" in words
    assert "a trial bake decides" in words


def test_both_states_share_one_scale(before_and_after):
    """The stone is of one size in both, and the longer whiskers belong to the greater strain."""
    root = read(draw_section(before_and_after(CYLINDER)))
    stones = [p for p in root.iter(f"{SVG}path") if p.get("fill") == "#e9e1d4"]
    widths = []
    for stone in stones:
        xs = [float(x) for x in re.findall(r"[ML]([\d.]+) ", stone.get("d"))]
        widths.append(max(xs) - min(xs))
    assert widths[0] == pytest.approx(widths[1], abs=0.01)
    whiskers = [p for p in root.iter(f"{SVG}path") if p.get("stroke-linecap") == "round"]
    longest = [_longest(p.get("d")) for p in whiskers]
    assert longest[0] == pytest.approx(WHISKER, abs=0.01)
    assert longest[1] < WHISKER / 2


def _longest(lines):
    numbers = [[float(n) for n in re.findall(r"-?[\d.]+", line)] for line in lines.split("M")[1:]]
    return max(((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5 for x1, y1, x2, y2 in numbers)


def test_a_sheet_is_as_thick_as_its_scale_says(before_and_after):
    """The broken line stands off the stone by the rolled thickness, by the stone's own measure."""
    root = read(draw_section(before_and_after(CYLINDER)[:1]))
    paths = list(root.iter(f"{SVG}path"))
    stone = next(p for p in paths if p.get("fill") == "#e9e1d4").get("d")
    rolled = next(p for p in paths if p.get("stroke-dasharray") == "3 2").get("d")
    tops = [min(float(y) for y in re.findall(r"[ML][\d.]+ ([\d.]+)", d)) for d in (stone, rolled)]
    foot = max(float(y) for y in re.findall(r"[ML][\d.]+ ([\d.]+)", stone))
    per_mm = (foot - tops[0]) / 69.85
    assert (tops[0] - tops[1]) / per_mm == pytest.approx(4.7625, abs=0.01)


def test_nothing_strained_has_no_whiskers(before_and_after):
    """A leaning panel is pushed together, not stretched; no strain is drawn."""
    form = {"kind": "leaning_panel", "width_mm": 120, "height_mm": 80, "lean_degrees": 20}
    root = read(draw_section(before_and_after(form)))
    assert not [p for p in root.iter(f"{SVG}path") if p.get("stroke-linecap") == "round"]


def test_absurd_doughs_are_drawn_too():
    """A tonne of soda to a gram of flour runs off every scale, and the drawing says just that."""
    lines = [
        {"ingredient": "all-purpose flour", "quantity": 1, "unit": "g"},
        {"ingredient": "baking soda", "quantity": 1000, "unit": "kg"},
    ]
    svg = draw_section([state_of({"lines": lines}, CYLINDER, 4)])
    speaks_for_itself(svg)
    root = read(svg)
    assert all(line.right <= box(root)[2] for line in level_words(root))
    assert ">999" in all_words(svg)


@pytest.mark.parametrize("label", ["<script>alert(1)</script>", "x" * 200, "\x00\ud800\u202e"])
def test_labels_cannot_break_the_drawing(label, lantern):
    """Whatever a state is called, it stays on the page and within its element."""
    svg = draw_section([state_of(lantern["recipe"], CYLINDER, 4, label)])
    speaks_for_itself(svg)
    root = read(svg)
    assert all(line.right <= box(root)[2] for line in level_words(root))
