"""Catalogues as CSV: what people's spreadsheets write, and what is broken in it."""

import csv
import io
import time

import pytest

from models.errors import BadInput
from service.exchange.byte_lines import MOST_BYTES
from service.exchange.csv_catalogue import MOST_ROWS, read_csv, write_csv
from service.exchange.entry import Entry, Unusable, entry_of, written_lines


def read(text):
    return list(read_csv([text.encode() if isinstance(text, str) else text]))


def names(found):
    return [one.external_id for one in found if isinstance(one, Entry)]


def test_lines_may_be_text_or_three_cells():
    """A row holds a line of text, or ingredient, quantity and unit."""
    (entry,) = read(
        "recipe,title,line,ingredient,quantity,unit\n"
        "lantern,Lantern dough,3 cups flour,,,\n"
        "lantern,,,unsalted butter,227.5,g\n"
    )
    assert entry.title == "Lantern dough"
    butter = {"ingredient": "unsalted butter", "quantity": 227.5, "unit": "g"}
    assert written_lines(entry) == ["3 cups flour", butter]
    assert entry.recipe is not None


@pytest.mark.parametrize("start", ["", "\ufeff"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_semicolons_decimal_commas_and_marks_are_understood(start, end):
    """As spreadsheets write where the comma is in the numbers."""
    rows = ["Recipe;Ingredient;Quantity;Unit", "a;butter;227,5;g", "", "b;egg;1;each"]
    found = read(start + end.join(rows) + end)
    assert [written_lines(one)[0]["quantity"] for one in found] == [227.5, 1.0]


def test_cells_may_hold_line_breaks_and_quotes():
    """A quoted cell holds whatever it holds."""
    (entry,) = read('recipe,title,line\na,"Two\r\n""lines"", one title",1 egg\n')
    assert entry.title == 'Two\r\n"lines", one title'


def test_a_cell_marked_as_text_is_read_without_the_mark():
    """What we defused on the way out is as it was on the way in."""
    (entry,) = read("recipe,title,line\n'=cmd()|' /C calc'!A0,'@SUM(A1),1 egg\n")
    assert (entry.external_id, entry.title) == ("=cmd()|' /C calc'!A0", "@SUM(A1)")
    assert "'=cmd" in "".join(write_csv([entry]))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "1 egg\n",
        "recipe,title\n",
        "line\n1 egg\n",
        "recipe,line,line\n",
        "recipe,ingredient,unit\n",
        "recipe,line\n".encode("utf-16"),
    ],
)
def test_a_file_that_does_not_name_its_columns_is_refused(text):
    """Nothing is guessed about columns; the refusal says which there are."""
    with pytest.raises(BadInput, match=r"columns"):
        read(text)


OWN = (
    "recipe,line,Price,shelf\n"
    "a,3 cups all-purpose flour,2.10,\na,1 egg,,left\na,,0.5,\nb,1 cup butter,,\nc,2 eggs,9,right\n"
)


def test_columns_of_the_files_own_come_out_again():
    """A price beside a line is no reason to refuse a file: it is beside that line on export."""
    found = read(OWN)
    assert [one.recipe is not None for one in found] == [True] * 3
    text = "".join(write_csv(found))
    rows = list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"))))
    assert [(r["recipe"], r["line"], r["price"], r["shelf"]) for r in rows] == [
        ("a", "3 cups all-purpose flour", "2.10", ""),
        ("a", "1 egg", "", "left"),
        ("a", "", "0.5", ""),
        ("b", "1 cup butter", "", ""),
        ("c", "2 eggs", "9", "right"),
    ]
    assert read(text) == found
    backwards = found[::-1]
    assert read("".join(write_csv(backwards))) == backwards


BROKEN = [
    'b,"1 egg\n',
    'b,"1 egg"x\n',
    b"b,\xff egg\n",
    "b,1 egg,more\n",
    ",1 egg\n",
    "b,1 \0egg\n",
    "b," + "x" * (MOST_BYTES + 1) + "\n",
    "b,1 egg\rc,1 egg\n",
]


@pytest.mark.parametrize("row", BROKEN)
def test_a_broken_row_does_not_stop_the_rest(row):
    """The recipes on both sides of a broken row are left out, all the others are there."""
    row = row if isinstance(row, bytes) else row.encode()
    good = [f"{name},2 cups flour\n{name},1 egg\n".encode() for name in "amnz"]
    found = list(read_csv([b"recipe,line\n", good[0], good[1], row, good[2], good[3]]))
    assert names(found) == ["a", "z"]
    left = [one for one in found if isinstance(one, Unusable)]
    assert {one.external_id for one in left} == {None, "m", "n"}
    assert all(one.row == 6 for one in left)


def test_a_recipe_that_lacks_a_row_is_never_kept():
    """A recipe in whose midst a row is broken is left out whole."""
    found = read('recipe,line\na,2 cups flour\na,"1 egg\na,1 tsp salt\nb,1 egg\n')
    assert names(found) == ["b"]


@pytest.mark.parametrize(
    "rows",
    [
        "a,A,1 egg\na,B,1 egg\n",
        "a,A,1 egg\n" * (MOST_ROWS + 1),
        "a," + "x" * 301 + ",1 egg\n",
        "a" * 301 + ",A,1 egg\n",
    ],
)
def test_a_recipe_that_contradicts_itself_is_left_out(rows):
    """Two titles, too many rows, a title or a name too long: said, and the rest goes on."""
    found = read(f"recipe,title,line\n{rows}z,Z,1 egg\n")
    assert names(found) == ["z"]
    assert isinstance(found[0], Unusable)


@pytest.mark.parametrize("kept", ["{", "[]", '{"a": 1, "a": 2}', '{"a": 1e999}'])
def test_what_was_kept_must_be_json(kept):
    """A cell under `kept` that was spoiled leaves its recipe out."""
    cell = kept.replace('"', '""')
    found = read(f'recipe,line,kept\na,1 egg,"{cell}"\nz,1 egg,\n')
    assert names(found) == ["z"]


def test_an_edited_line_counts_over_what_was_kept():
    """Whoever changes a line in the spreadsheet gets that line, and keeps the rest."""
    supply = {"@type": "HowToSupply", "name": "egg", "requiredQuantity": 1}
    entry = entry_of("a", "A", [supply], {"recipeYield": "4"})
    written = "".join(write_csv([entry]))
    assert read(written) == [entry]
    (edited,) = read(written.replace("1 egg", "2 eggs", 1))
    assert written_lines(edited) == ["2 eggs"]
    assert edited.extras == {"recipeYield": "4"}


def test_quotes_made_to_hurt_are_soon_read():
    """Lines that each open a quote are not read again for ever."""
    began = time.process_time()
    found = read("recipe,line\n" + 'x","\n' * 40_000)
    assert all(isinstance(one, Unusable) for one in found)
    assert time.process_time() - began < 5
