"""Lines the way people publish them, in English, German and French: each judged by hand.

Common practice, no source: the lines are reworded, what each means is what a baker would take. The
table names what is meant (an ingredient, or why the line is set aside), its grams, and the doubt
that has to be told.
"""

import csv
import random
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.pantry import known_pantry
from models.reading.aside import SetAside, understand_line

TABLE = Path(__file__).with_name("lines_as_published.tsv")
LINES = list(
    csv.DictReader(TABLE.read_text("utf-8").splitlines(), delimiter="\t", quoting=csv.QUOTE_NONE)
)


@pytest.mark.parametrize("row", LINES, ids=lambda row: row["line"])
def test_a_line_is_read_as_a_baker_would(row):
    """The ingredient, its grams and the doubt are those that were judged by hand."""
    read = understand_line(row["line"], known_pantry())
    if isinstance(read, SetAside):
        assert (read.aside.code, "") == (row["meant"], row["grams"])
    else:
        said = read.uncertain.code if read.uncertain else ""
        grams = f"{float(read.amount.grams):.6g}"
        assert (read.ingredient.name, grams, said) == (row["meant"], row["grams"], row["doubt"])


@given(st.lists(st.sampled_from(LINES), min_size=1, max_size=3), st.randoms())
def test_marks_and_cases_change_nothing(rows, dice: random.Random):
    """A bullet before a line, spaces around it and a no-break space in it change no amount."""
    for row in rows:
        bullet = dice.choice(["- ", "• ", "* ", "☐ ", "\u00a0", "  "])
        dressed = bullet + row["line"].replace(" ", "\u00a0", 1) + dice.choice(["", " ", "\u00a0"])
        plain, same = (understand_line(text, known_pantry()) for text in (row["line"], dressed))
        if bullet != "* ":  # an asterisk may open a note
            assert isinstance(plain, SetAside) == isinstance(same, SetAside)
        if not isinstance(plain, SetAside) and not isinstance(same, SetAside):
            assert plain.amount.grams == same.amount.grams


@given(st.text(max_size=300))
def test_whatever_is_typed_is_understood_or_set_aside(text):
    """No text fails: it has a meaning, or a reason."""
    read = understand_line(text, known_pantry())
    assert read.aside.message if isinstance(read, SetAside) else read.amount.grams >= 0
