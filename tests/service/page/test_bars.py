"""Bars: values and windows in their places along a rule."""

import pytest

from service.page.bars import WIDTH, bars
from solver.reformulate import reformulate
from tests.conftest import brief_of


@pytest.fixture
def lantern_bars(lantern):
    outcome = reformulate(brief_of(lantern))
    return {bar.ratio: bar for bar in bars(outcome, outcome.ratios.after)}


def test_ratios_with_a_window_come_first(lantern_bars):
    """The three that the brief bounds stand above the four that it does not."""
    bounded = [bar.bound is not None for bar in lantern_bars.values()]
    assert bounded == [True] * 3 + [False] * 4


def test_a_value_outside_its_window_lies_outside_its_band(lantern_bars):
    """Flour to fat starts left of its band and ends within; all lie on the rule."""
    bar = lantern_bars["flour_to_fat"]
    assert 0 <= bar.before_at < bar.window_at[0] <= bar.after_at <= bar.window_at[1] <= WIDTH


def test_an_open_side_reaches_the_end_of_the_rule(lantern_bars):
    """A window without a least value begins where the rule does."""
    assert lantern_bars["soda_equivalent_percent"].window_at[0] == 0
