"""Axes: round ticks, and a plane in proportion."""

import pytest

from service.drawings.axes import Axes, round_step, ticks


@pytest.mark.parametrize(
    ("least", "step"), [(0.9, 1), (1, 1), (1.1, 2), (3, 5), (6, 10), (0.03, 0.05), (230, 500)]
)
def test_steps_are_round(least, step):
    """A step is 1, 2 or 5 or their tens, and no less than asked for."""
    assert round_step(least) == pytest.approx(step)


@pytest.mark.parametrize("most", [0.001, 0.6, 1, 7, 20, 100, 12345])
def test_ticks_span_the_axis(most):
    """From nought, evenly, to within a step of the end, three to six of them."""
    marks = ticks(most)
    assert marks[0] == 0
    assert 3 <= len(marks) <= 6
    step = marks[1]
    assert marks == pytest.approx([step * i for i in range(len(marks))])
    assert 0 <= most * (1 + 1e-9) - marks[-1] < step


def test_a_plane_is_in_proportion():
    """Half way along is half way across, and y grows upwards."""
    axes = Axes(left=10, top=20, width=214, height=100, most_x=2, most_y=50)
    (x0, y0), (x1, y1), (x2, y2) = (axes.at(i, 25 * i) for i in range(3))
    assert (x1 - x0, y1 - y0) == pytest.approx((x2 - x1, y2 - y1))
    assert (y0, y2, x2) == pytest.approx((120, 20, axes.right))
