"""What is written is read again as it was."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.exchange.csv_catalogue import read_csv, write_csv
from service.exchange.csv_cells import defuse, restore
from service.exchange.entry import Entry, entry_of, written_lines
from service.exchange.json_ld import read_json_ld, recipe_object, write_json_ld
from service.exchange.ndjson_catalogue import read_ndjson, write_ndjson
from tests.service.exchange.generated_entries import entries, text

several = st.lists(entries(), max_size=3, unique_by=lambda entry: entry.external_id)
FEW = settings(max_examples=40, deadline=None)


def in_pieces(written: str, size: int) -> list[bytes]:
    body = written.encode()
    return [body[at : at + size] for at in range(0, len(body), size)]


@FEW
@given(several, st.integers(1, 50))
def test_csv_gives_back_what_it_was_given(kept, size):
    """Entries written as CSV and read in pieces of any size are the same entries."""
    written = "".join(write_csv(kept))
    assert list(read_csv(in_pieces(written, size))) == kept


@FEW
@given(several, st.integers(1, 50))
def test_ndjson_gives_back_what_it_was_given(kept, size):
    """Entries written as NDJSON and read in pieces of any size are the same entries."""
    written = "".join(write_ndjson(kept))
    assert list(read_ndjson(in_pieces(written, size))) == kept


@FEW
@given(several, st.integers(1, 50))
def test_json_ld_keeps_every_member(kept, size):
    """Through JSON-LD an entry keeps its name, its title, and every member nobody understood."""
    found = list(read_json_ld(in_pieces("".join(write_json_ld(kept)), size)))
    if not kept:
        return
    for one, again in zip(kept, found, strict=True):
        assert isinstance(again, Entry)
        assert (again.external_id, again.title) == (one.external_id, one.title)
        assert len(written_lines(again)) == len(written_lines(one))
        for name, value in one.extras.items():
            if name != "recipeIngredient":
                assert again.extras[name] == value


@FEW
@given(entries())
def test_json_ld_is_settled_after_one_time(entry):
    """What was once written as JSON-LD is written the same again."""
    once = recipe_object(entry)
    (read,) = read_json_ld([json.dumps(once).encode()])
    assert recipe_object(read) == once
    (again,) = read_json_ld([json.dumps(recipe_object(read)).encode()])
    assert again == read


@pytest.mark.parametrize("lines", [["2 cups zorkling"], ["2 cups zorkling", "2 cups blorp"]])
def test_own_ingredients_come_back_in_every_form(lines):
    """Whether the recipe reads or not, the caller's own ingredients go with it."""
    own = [{"name": "zorkling", "role": "flour", "water_percent": 13, "grams_per_cup": 130}]
    entry = entry_of("z", "Z", lines, {"custom_ingredients": own})
    for write, read in (
        (write_csv, read_csv),
        (write_ndjson, read_ndjson),
        (write_json_ld, read_json_ld),
    ):
        assert list(read(["".join(write([entry])).encode()])) == [entry]


@given(text)
def test_a_defused_cell_is_no_formula_and_comes_back(cell):
    """No cell but a plain number opens as a formula does, and each comes back as it was."""
    shown = defuse(cell)
    assert restore(shown) == cell
    if shown[:1] in {"=", "+", "-", "@", "\t", "\r"}:
        assert float(shown) < 0
        assert shown[0] == "-"


def test_each_formula_is_defused():
    """Every opening of a formula gets an apostrophe, and so does a cell that has one already."""
    for opening in "=+-@\t\r":
        assert defuse(f"{opening}x") == f"'{opening}x"
        assert defuse(f"'{opening}x") == f"''{opening}x"
    assert defuse("'tis") == "'tis"
