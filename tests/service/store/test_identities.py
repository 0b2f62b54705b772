"""Identities: in the order of making, past guessing, short enough to keep."""

import time

import pytest

from service.store.identities import is_identity, new_identity
from service.store.tables import Identity


def test_names_stand_in_the_order_of_making():
    """Sorted by name, things stand as they were made, a microsecond apart."""
    names = []
    for _ in range(500):
        names.append(new_identity("rec"))
        time.sleep(2e-6)
    assert names == sorted(names)


def test_no_two_names_are_alike():
    """Names made as fast as can be differ, in their random part alone if need be."""
    names = [new_identity("rec") for _ in range(10_000)]
    assert len(set(names)) == len(names)
    assert len({name[-14:] for name in names}) == len(names)


@pytest.mark.parametrize("kind", ["rec", "trial"])
def test_a_name_fits_its_column(kind):
    """The longest kind there is makes a name that the tables can hold."""
    name = new_identity(kind)
    assert len(name) == len(kind) + 27 <= Identity.length
    assert is_identity(name)


@pytest.mark.parametrize("text", ["", "a" * 33, "a b", "a\0", "a/b", "é", "rec_1\n"])
def test_what_could_name_nothing_is_told(text):
    """Too long, empty, or of characters that no name has."""
    assert not is_identity(text)
