"""Importing: batches onto a shelf, and a word on everything that could not be used."""

import tracemalloc
from collections.abc import Iterator, Sequence

from service.exchange.csv_catalogue import read_csv
from service.exchange.entry import Entry, Unusable, entry_of
from service.exchange.importing import BATCH, MOST_FAULTS, Counts, import_catalogue
from service.exchange.ndjson_catalogue import read_ndjson


class ShelfInMemory:
    """A shelf that remembers what it was given, or only how much of it."""

    def __init__(self, *, forgets: bool = False) -> None:
        self.kept: dict[str, Entry] = {}
        self.batches: list[int] = []
        self._forgets = forgets

    def put_many(self, caller_id: str, catalogue_id: str, entries: Sequence[Entry]) -> Counts:
        self.batches.append(len(entries))
        if self._forgets:
            return Counts(len(entries), 0, 0)
        new = [one for one in entries if one.external_id not in self.kept]
        same = [one for one in entries if self.kept.get(one.external_id) == one]
        self.kept |= {one.external_id: one for one in entries}
        return Counts(len(new), len(entries) - len(new) - len(same), len(same))

    def named_by_title(
        self, caller_id: str, catalogue_id: str, titles: Sequence[str]
    ) -> dict[str, list[str]]:
        found: dict[str, list[str]] = {}
        for name, one in self.kept.items():
            if one.title in titles and name.startswith("sha256:"):
                found.setdefault(one.title or "", []).append(name)
        return found

    def each(self, caller_id: str, catalogue_id: str) -> Iterator[Entry]:
        yield from self.kept.values()


def bring(shelf, found):
    return import_catalogue(shelf, "caller", "catalogue", found)


def egg(name, lines=("1 egg",)):
    return entry_of(name, None, lines, {})


def test_a_file_goes_in_batches_and_once():
    """Some hundreds to a batch; the same file again changes nothing."""
    shelf, found = ShelfInMemory(), [egg(f"r{i}") for i in range(BATCH + 1)]
    assert bring(shelf, found).created == BATCH + 1
    assert shelf.batches == [BATCH, 1]
    again = bring(shelf, found)
    assert (again.created, again.updated, again.unchanged) == (0, 0, BATCH + 1)


def test_a_name_that_comes_twice_counts_once():
    """The first counts, wherever the second comes, and the answer says so."""
    shelf = ShelfInMemory()
    found = [egg("a"), *(egg(f"r{i}") for i in range(BATCH)), egg("a", ["2 eggs"])]
    summary = bring(shelf, found)
    assert (summary.created, summary.left_out) == (BATCH + 1, 1)
    assert shelf.kept["a"] == egg("a")
    assert (summary.faults[0].external_id, summary.faults[0].line) == ("a", None)


def test_what_cannot_be_read_is_kept_and_said():
    """An unreadable recipe is kept and counted, each of its lines named; a bad row is not kept."""
    shelf = ShelfInMemory()
    bad = Unusable(row=7, external_id=None, message="The row is not UTF-8.")
    summary = bring(shelf, [egg("a", ["1 egg", "2 cans zorkling"]), bad])
    assert (summary.created, summary.unreadable, summary.left_out) == (1, 1, 1)
    assert [(x.row, x.external_id, x.line) for x in summary.faults] == [
        (None, "a", 2),
        (7, None, None),
    ]


def test_the_first_faults_are_listed():
    """A file of nothing but faults is answered with the first of them and the count of all."""
    bad = (Unusable(row=i, message="bad") for i in range(1, 1001))
    summary = bring(ShelfInMemory(), bad)
    assert (summary.left_out, len(summary.faults)) == (1000, MOST_FAULTS)


def test_nothing_is_nothing():
    """An empty file makes no batch."""
    shelf = ShelfInMemory()
    assert bring(shelf, []).created == 0
    assert shelf.batches == []


MOST_MEMORY_BYTES = 4_000_000
"""What is held at a time: a recipe, a batch, and the books kept by the way."""


def _peak_of(work) -> int:
    """Return the most memory that is held at a time while `work` is done."""
    tracemalloc.start()
    try:
        work()
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


def test_a_hundred_thousand_rows_of_csv_take_the_memory_of_one_recipe():
    """100,000 rows, 11 MB, of which 4 MB are never held."""
    note = "x" * 100

    def pieces():
        yield b"recipe,line\n"
        for i in range(200):
            yield f"r{i},{note}\n".encode() * 500

    found = read_csv(pieces())
    assert _peak_of(lambda: sum(1 for _ in found)) < MOST_MEMORY_BYTES


def test_ten_megabytes_of_ndjson_take_the_memory_of_one_line():
    """1,000 recipes of 10 kB each, of which 4 MB are never held."""
    note = "x" * 10_000
    pieces = (
        f'{{"external_id": "r{i}", "lines": ["1 egg"], "extras": {{"note": "{note}"}}}}\n'.encode()
        for i in range(1000)
    )
    found = read_ndjson(pieces)
    assert _peak_of(lambda: sum(1 for _ in found)) < MOST_MEMORY_BYTES


def test_a_hundred_thousand_recipes_are_brought_in_by_the_batch():
    """Of 100,000 recipes there are never more than a batch, and all their names are known."""
    one, shelf = egg("x"), ShelfInMemory(forgets=True)

    def found():
        for i in range(100_000):
            yield one.model_copy(update={"external_id": f"recipe {i} of Wickhollow"})
        yield one.model_copy(update={"external_id": "recipe 0 of Wickhollow"})

    summaries = []
    assert _peak_of(lambda: summaries.append(bring(shelf, found()))) < MOST_MEMORY_BYTES
    assert (summaries[0].created, summaries[0].left_out) == (100_000, 1)


def unnamed(title, *lines):
    return entry_of(None, title, lines, {})


DOUGH = ("300 g flour", "100 g butter")
EDITED = ("320 g flour", "100 g butter")


def test_an_edited_recipe_without_an_id_is_the_one_under_its_title():
    """It becomes the next version, and the answer says so; sent again it changes nothing."""
    shelf = ShelfInMemory()
    bring(shelf, [unnamed("Buns", *DOUGH), unnamed("Tiles", *DOUGH)])
    names = set(shelf.kept)
    edited = bring(shelf, [unnamed("Buns", *EDITED), unnamed("Tiles", *DOUGH)])
    assert (edited.created, edited.updated, edited.unchanged, edited.by_title) == (0, 1, 1, 1)
    assert "same title" in edited.faults[0].message
    assert set(shelf.kept) == names
    again = bring(shelf, [unnamed("Buns", *EDITED), unnamed("Tiles", *DOUGH)])
    assert (again.created, again.updated, again.unchanged) == (0, 0, 2)


def test_two_recipes_of_one_title_stay_two():
    """Two of one title in a file, in either order and however far apart, are both kept; where two
    stand under a title, an edit is a recipe of its own."""
    both = [unnamed("Buns", *DOUGH), unnamed("Buns", *EDITED)]
    apart = [both[0], *(egg(f"r{i}") for i in range(BATCH)), both[1]]
    for found in (both, both[::-1], apart):
        shelf = ShelfInMemory()
        bring(shelf, found)
        assert sum(one.title == "Buns" for one in shelf.kept.values()) == 2
    assert bring(shelf, [unnamed("Buns", "350 g flour", "100 g butter")]).created == 1


def test_no_recipe_is_lost_to_a_namesake():
    """Where an edit took the name of a recipe that comes later in the same file, both are kept."""
    shelf = ShelfInMemory()
    bring(shelf, [unnamed("Buns", *DOUGH)])
    bring(
        shelf,
        [unnamed("Buns", *EDITED), *(egg(f"r{i}") for i in range(BATCH)), unnamed("Buns", *DOUGH)],
    )
    kept = [one.recipe.lines[0].text for one in shelf.kept.values() if one.title == "Buns"]
    assert sorted(kept) == [DOUGH[0], EDITED[0]]


def test_recipes_without_flour_are_kept_and_marked():
    """An icing is kept; the answer counts it and says that runs leave it alone."""
    summary = bring(ShelfInMemory(), [entry_of("icing", "Icing", ["200 g sugar"], {})])
    assert (summary.created, summary.without_flour) == (1, 1)
    assert "no flour" in summary.faults[0].message
