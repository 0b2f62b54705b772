"""Tags: beside their marks, clear of each other."""

import math
import random

import pytest

from service.drawings.tags import Box, tag_places

FRAME = Box(0, 0, 340, 260)
SIZE = (18.0, 14.0)


@pytest.mark.parametrize("seed", range(20))
def test_tags_hide_neither_marks_nor_tags(seed):
    """Twenty marks anywhere on the plane get twenty tags that cover nothing."""
    chance = random.Random(seed)
    marks = [(chance.uniform(10, 330), chance.uniform(10, 250)) for _ in range(20)]
    tags = [Box.around(place, *SIZE) for place in tag_places(marks, SIZE, FRAME)]
    assert all(FRAME.holds(tag) for tag in tags)
    for i, tag in enumerate(tags):
        assert sum(tag.overlap(other) for other in tags[:i]) == 0
        assert sum(tag.overlap(Box.around(mark, 8, 8)) for mark in marks) == 0


def test_a_lone_tag_is_near():
    """With room all about, a number stands right beside its mark."""
    (tag,) = tag_places([(100, 100)], SIZE, FRAME)
    assert math.dist(tag, (100, 100)) < 20


def test_a_tag_keeps_off_a_bar_where_it_can():
    """A bar through the mark sends its tag to the side."""
    bar = Box(97, 20, 103, 240)
    (tag,) = tag_places([(100, 100)], SIZE, FRAME, [bar])
    assert Box.around(tag, *SIZE).overlap(bar) == 0


def test_a_frame_too_small_still_has_its_tags():
    """Where nothing fits, each mark has a tag all the same."""
    assert len(tag_places([(5, 5), (6, 6)], SIZE, Box(0, 0, 10, 10))) == 2


def test_a_tag_keeps_off_what_is_taken():
    """Words that stand there already are never covered."""
    taken = Box(105, 60, 300, 140)
    (tag,) = tag_places([(100, 100)], SIZE, FRAME, taken=[taken])
    assert Box.around(tag, *SIZE).overlap(taken) == 0
