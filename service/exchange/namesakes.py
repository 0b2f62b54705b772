"""Namesakes: a recipe without an id that was edited is the one that stands under its title.

A recipe without an id is named by its content, so an edit gives it another name. Where just one
recipe without an id stands in the catalogue under the same title, and it is not in the file too,
the edited one becomes its next version.
"""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence

from service.exchange.entry import Entry

_BY_CONTENT = re.compile(r"sha256:[0-9a-f]{32}")


def is_named_by_content(entry: Entry) -> bool:
    """Tell whether `entry` came without an id."""
    return _BY_CONTENT.fullmatch(entry.external_id) is not None


def take_namesakes(
    entries: Sequence[Entry],
    standing: Mapping[str, Sequence[str]],
    is_taken: Callable[[str], bool],
) -> list[Entry]:
    """Return `entries` with the names of the recipes that they are edits of.

    `standing` gives the names of recipes without an id by title; `is_taken` tells of a name whether
    this file has used it.
    """
    titles = [one.title for one in entries if is_named_by_content(one)]
    here = {one.external_id for one in entries}
    taken: list[Entry] = []
    for one in entries:
        names = standing.get(one.title or "", ())
        edited = (
            is_named_by_content(one)
            and len(names) == 1
            and titles.count(one.title) == 1
            and names[0] not in here
            and not is_taken(names[0])
        )
        taken.append(one.model_copy(update={"external_id": names[0]}) if edited else one)
    return taken


def titles_to_match(entries: Iterable[Entry]) -> list[str]:
    """Return the titles of the recipes that came without an id."""
    return [one.title for one in entries if one.title and is_named_by_content(one)]
