"""Icons: one for each form, in one style, that stands alone."""

import pytest

from models.form import KINDS
from service.drawings.icons import icon
from tests.service.drawings.seeing import SVG, box, read, speaks_for_itself


@pytest.mark.parametrize("kind", KINDS)
def test_each_form_has_an_icon(kind):
    """It stands alone, is square, and draws the stone before the sheet on it."""
    svg = icon(kind)
    speaks_for_itself(svg)
    root = read(svg)
    assert box(root) == [0, 0, 64, 64]
    assert {path.get("fill") for path in root.iter(f"{SVG}path")} >= {"#e9e1d4"}


def test_no_two_icons_are_alike():
    """A form is told from another by its drawing, not by its title alone."""
    paths = [tuple(p.get("d") for p in read(icon(kind)).iter(f"{SVG}path")) for kind in KINDS]
    assert len(set(paths)) == len(KINDS)
