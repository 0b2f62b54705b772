"""Layout: columns line up, and nothing steers a terminal."""

from service.command_line.layout import WIDTH, columns, plain, points


def test_columns_line_up():
    """Cells of a column start, or end, at the same place."""
    lines = columns(("name", "g"), [("flour", "437.5"), ("salt", "3.0")], right=(1,))
    assert lines == ["name       g", "-----  -----", "flour  437.5", "salt     3.0"]


def test_control_characters_are_blanks():
    """Escape sequences and line breaks in a cell become blanks."""
    assert plain("a\x1b[2J\nb\u202e") == "a [2J b "


def test_points_wrap_under_a_heading():
    """Long items are wrapped within the width; no items, no heading."""
    lines = points("Why", ["because " * 40])
    assert lines[:2] == ["", "Why"]
    assert max(map(len, lines)) <= WIDTH
    assert points("Why", []) == []
