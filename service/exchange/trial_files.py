"""Trials as files, in and out: NDJSON, a trial a line, and CSV, a piece a row.

NDJSON loses nothing; CSV is `service.exchange.trial_csv`. A file may be sent again: what is there
already changes nothing. Catalogues of recipes are `service.exchange.formats`.
"""

import json
from collections.abc import Callable, Iterable, Iterator
from typing import Any, Literal

from models.trial import StoredTrial, Trial
from models.value import Value
from service.exchange.trial_csv import read_csv, write_csv
from service.exchange.trial_told import Told, tell
from service.store import trials
from service.store.database import Connection

TrialFileForm = Literal["ndjson", "csv"]
MOST_FAULTS = 100


class TrialFault(Value):
    """What could not be used: a place in the file, counted from 1, and why."""

    row: int
    message: str


class TrialImport(Value):
    """What became of a file of trials; the first 100 faults are listed."""

    created: int
    corrected: int
    unchanged: int
    left_out: int
    faults: tuple[TrialFault, ...]


def import_trials(
    connection: Connection, caller_id: str, kitchen_id: str, found: Iterable[Told]
) -> TrialImport:
    """Keep the trials that are `found`; raise NotThere for their kitchen."""
    known = {
        stored.id: _written(stored.trial)
        for stored in trials.each_trial(connection, caller_id, kitchen_id)
    }
    counts, faults = {"created": 0, "corrected": 0, "unchanged": 0}, []
    for told in found:
        fault = told.fault
        if told.kitchen_id not in {None, kitchen_id}:
            fault = (
                "was baked in another kitchen, and what is learned there does not hold here; "
                "take kitchen_id out if it really was this one"
            )
        if fault or told.trial is None:
            faults.append(TrialFault(row=told.row, message=fault))
            continue
        counts[_keep(connection, caller_id, kitchen_id, told.identity, told.trial, known)] += 1
    return TrialImport(**counts, left_out=len(faults), faults=tuple(faults[:MOST_FAULTS]))


def _keep(
    connection: Connection,
    caller_id: str,
    kitchen_id: str,
    identity: str | None,
    trial: Trial,
    known: dict[str, str],
) -> str:
    written = _written(trials.as_told(trial))
    if identity in known:
        if known[identity] == written:
            return "unchanged"
        trials.correct_trial(connection, caller_id, kitchen_id, identity, None, trial)
        known[identity] = written
        return "corrected"
    if written in known.values():
        return "unchanged"
    known[trials.add_trial(connection, caller_id, kitchen_id, trial).id] = written
    return "created"


def _written(trial: Any) -> str:
    return json.dumps(trial, sort_keys=True)


def read_ndjson(body: bytes) -> Iterator[Told]:
    """Yield every line that is not blank."""
    for number, line in enumerate(body.removeprefix(b"\xef\xbb\xbf").splitlines(), start=1):
        if line.strip():
            yield _told_line(number, line)


def _told_line(number: int, line: bytes) -> Told:
    try:
        content = json.loads(line)
    except (ValueError, RecursionError):
        return Told(number, None, None, None, "is no JSON; write one trial a line")
    if not isinstance(content, dict):
        return Told(number, None, None, None, "is no JSON object; write one trial a line")
    inside = content.get("trial")
    identity, kitchen_id = content.pop("id", None), content.pop("kitchen_id", None)
    if isinstance(inside, dict):
        content = inside
    return tell(number, identity, kitchen_id, content)


def write_ndjson(stored: Iterable[StoredTrial]) -> Iterator[str]:
    """Yield a line for each trial."""
    for one in stored:
        kept = {"id": one.id, "kitchen_id": one.kitchen_id, "trial": one.trial}
        yield json.dumps(kept, ensure_ascii=False) + "\n"


Reader = Callable[[bytes], Iterator[Told]]
Writer = Callable[[Iterable[StoredTrial]], Iterator[str]]

READERS: dict[str, Reader] = {"application/x-ndjson": read_ndjson, "text/csv": read_csv}
"""By media type."""
WRITERS: dict[TrialFileForm, Writer] = {"ndjson": write_ndjson, "csv": write_csv}
MEDIA_TYPES: dict[TrialFileForm, str] = {
    "ndjson": "application/x-ndjson",
    "csv": "text/csv; charset=utf-8; header=present",
}
