"""SVG as elements: escaped, short, and readable by any XML parser whatever the words are."""

import pytest

from service.drawings.svg import drawing, number, path, shape, visible, words
from tests.service.drawings.seeing import SVG, read, speaks_for_itself

HOSTILE = [
    '</text><script>alert("x")</script>',
    "a & b < c > d \" e ' f",
    "nul \x00 bell \x07 escape \x1b[2J",
    "half of a pair \ud800",
    "turned round \u202e and back \ufffe",
    "]]> <!-- -->",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_no_words_break_out(text):
    """Whatever stands in text, title or attribute, the drawing has just the elements it has."""
    svg = drawing((0, 0, 10, 10), text, text, words(1, 2, text), shape("path", d=text))
    speaks_for_itself(svg)
    root = read(svg)
    assert [child.tag.removeprefix(SVG) for child in root] == ["title", "desc", "text", "path"]
    assert root[2].text == visible(text)


def test_visible_words_stay():
    """Letters of any script are kept; what is no visible character becomes a space."""
    assert visible("Gewürz 1½ ″ 生姜") == "Gewürz 1½ ″ 生姜"
    assert visible("a\x00b\u202ec\ud800d") == "a b c d"


@pytest.mark.parametrize(
    ("value", "written"),
    [(0, "0"), (-0.0001, "0"), (1.5, "1.5"), (100.0, "100"), (2 / 3, "0.667"), (-20, "-20")],
)
def test_numbers_are_short(value, written):
    """A thousandth is kept and trailing noughts are not."""
    assert number(value) == written


def test_paths_run_through_their_points():
    """A path moves to the first point and draws to the others, back again where it is closed."""
    assert path([(0, 0), (1.5, 2)]) == "M0 0 L1.5 2"
    assert path([(0, 0), (1, 0), (1, 1)], closed=True).endswith(" Z")


def test_attributes_are_spelt_as_svg_spells_them():
    """Underscores are hyphens, and what is None is left out."""
    assert shape("path", stroke_width=2.0, fill=None).attrib == {"stroke-width": "2"}
