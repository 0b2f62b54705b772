"""Lettering: lines that fit, lengths as rulers read them, chances without false certainty."""

import pytest

from service.drawings.lettering import chance_words, millimetres, percent, width_of, wrapped

NBSP = "\u00a0"


@pytest.mark.parametrize("room", [60, 100, 240])
@pytest.mark.parametrize("text", ["Rolled 1/8 in and chilled", "x" * 90, "生姜" * 40, "W" * 30])
def test_lines_fit(text, room):
    """No line is wider than its room, and no letter is lost."""
    lines = wrapped(text, 14, room)
    assert all(width_of(line, 14) <= room for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_numbers_stay_with_their_units():
    """A no-break space is not a place to break."""
    assert wrapped(f"about 108.3{NBSP}mm", 10, 60) == ["about", f"108.3{NBSP}mm"]


def test_an_empty_text_is_an_empty_line():
    """Nothing takes one line, so that what stands beside it stays level."""
    assert wrapped("", 10, 60) == [""]


@pytest.mark.parametrize(
    ("length", "words"),
    [
        (108.3348, "108.3 mm (4 1/4 in)"),
        (3.175, "3.2 mm (1/8 in)"),
        (25.4, "25.4 mm (1 in)"),
        (0.5, "0.5 mm (0 in)"),
        (1e17, "more than 100 m"),
    ],
)
def test_lengths_read_as_on_a_ruler(length, words):
    """Tenths of a millimetre, and inches to a sixteenth."""
    assert millimetres(length).replace(NBSP, " ") == words


@pytest.mark.parametrize(
    ("share", "words"),
    [(0.1901, "19.0 %"), (0, "0.0 %"), (0.9999, "100 %"), (1.43, "143 %"), (1e9, ">999 %")],
)
def test_shares_read_as_percentages(share, words):
    """Three figures, and a lot is a lot."""
    assert percent(share).replace(NBSP, " ") == words


@pytest.mark.parametrize(
    ("chance", "words"),
    [(0, "under 1 %"), (0.99, "under 1 %"), (34.4, "34 %"), (99.1, "over 99 %")],
)
def test_nothing_is_certain(chance, words):
    """A chance is never nought or a hundred in words."""
    assert chance_words(chance).replace(NBSP, " ") == words
