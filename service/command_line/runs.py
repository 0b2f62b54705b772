"""The commands around runs: watch one over a catalogue, or work for a service's.

A run is asked of a service, one that is there or one of its own on the database; either way it is
the same run when it is asked for again, and goes on where it was.
"""

import json
import os
import signal
import sys
import time
from argparse import ArgumentParser, Namespace
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import httpx

from models.run import Run
from service.client import is_loopback
from service.command_line.asking import PATIENCE_SECONDS, Unreachable
from service.command_line.databases import add_database
from service.command_line.faults import problem_words
from service.command_line.own_service import service_of
from service.command_line.progress import Progress
from service.problems import Problem
from service.settings import Settings, cores

LOOK_EVERY_SECONDS = 0.5
MEDIA_TYPES = {
    ".csv": "text/csv",
    ".ndjson": "application/x-ndjson",
    ".jsonl": "application/x-ndjson",
    ".json": "application/ld+json",
    ".jsonld": "application/ld+json",
    ".html": "text/html",
}
"""What a catalogue's file is, by the ending of its name."""


class RunRefused(Exception):
    """The run cannot be asked for like this; the text says what to do."""


def add_worker_command(commands: Any) -> None:
    """Add the command that works for the runs of a service elsewhere."""
    worker: ArgumentParser = commands.add_parser(
        "worker", help="work for the runs of the services on a PostgreSQL database"
    )
    add_database(worker)
    add_engine_options(worker)
    worker.add_argument("--solve-seconds", metavar="S", type=float, default=Settings.solve_seconds)


def add_engine_options(command: ArgumentParser) -> None:
    """Let a command say how it works through runs."""
    add = command.add_argument
    add(
        "--run-processes",
        metavar="N",
        type=int,
        default=cores(),
        help="recipes of runs at a time (%(default)s, the cores); 0 leaves them to workers",
    )
    add(
        "--stalled-seconds",
        metavar="S",
        type=float,
        default=Settings.stalled_seconds,
        help="how long a worker may be silent before others do its work (%(default)s)",
    )


def work_for_others(given: Namespace) -> Iterator[str]:
    """Work through the runs of a database until stopped, and say so."""
    from service.logs import log_to_stderr
    from service.migrations import upgrade
    from service.runs.postgres import prepare_queue
    from service.runs.queue_worker import QueueWorker
    from service.store.database import Database

    database = Database(given.database)
    if database.is_embedded:
        raise RunRefused("Workers share a database on PostgreSQL; a file has its service alone.")
    log_to_stderr()
    upgrade(database)
    prepare_queue(database)
    processes = max(1, given.run_processes)
    worker = QueueWorker(database, processes, given.solve_seconds, given.stalled_seconds)
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, lambda *_: worker.stop())
    yield f"Working for the runs in {database.address} with {processes} processes."
    worker.run()


def run_over_catalogue(given: Namespace, brief: dict[str, Any]) -> tuple[Run, list[str]]:
    """Run `brief` over the catalogue that was named; return how it ended, and that in words.

    Raises RunRefused or Unreachable.
    """
    with service_of(given, given.run_processes) as url, _client(url) as client:
        catalogue = _catalogue(client, given.catalogue)
        answer = _ask(client, "POST", "/v1/runs", json={**brief, "catalogue_id": catalogue})
        run = _watch(client, Run.model_validate_json(answer))
        if given.out:
            _keep_items(client, run, Path(given.out))
    return run, [*_summary(run), *([f"Every recipe's answer is in {given.out}."] * bool(given.out))]


def _catalogue(client: httpx.Client, named: str) -> str:
    """Return the identity of the catalogue; a file is stored as a new one."""
    file = Path(named)
    kind = MEDIA_TYPES.get(file.suffix.lower())
    if kind is None:
        return named
    try:
        content = file.open("rb")
    except OSError as error:
        raise RunRefused(f"{named} cannot be read: {error.strerror}.") from None
    with content:
        body = {"title": file.name}
        made: str = json.loads(_ask(client, "POST", "/v1/catalogues", json=body))["id"]
        address, headers = f"/v1/catalogues/{made}/import", {"Content-Type": kind}
        _ask(client, "POST", address, content=content, headers=headers, timeout=None)
    sys.stderr.write(f"{named} is stored as catalogue {made}; name that to run over it again.\n")
    return made


def _watch(client: httpx.Client, run: Run) -> Run:
    """Show how the run comes on until it is over; a service that is away is waited for."""
    progress = Progress(sys.stderr)
    heard_at = time.monotonic()
    while True:
        progress.show(run)
        if run.is_over:
            progress.end()
            return run
        time.sleep(LOOK_EVERY_SECONDS)
        try:
            run = Run.model_validate_json(_ask(client, "GET", f"/v1/runs/{run.id}"))
            heard_at = time.monotonic()
        except Unreachable:
            if time.monotonic() - heard_at > PATIENCE_SECONDS:
                raise


def _keep_items(client: httpx.Client, run: Run, file: Path) -> None:
    form = "csv" if file.suffix.lower() == ".csv" else "ndjson"
    try:
        with (
            file.open("wb") as kept,
            client.stream("GET", f"/v1/runs/{run.id}/items?format={form}") as answer,
        ):
            for piece in answer.iter_bytes():
                kept.write(piece)
    except OSError as error:
        raise RunRefused(f"{file} cannot be written: {error.strerror}.") from None


def _summary(run: Run) -> Iterable[str]:
    yield f"Run {run.id} is {run.state}: {run.done:,} of {run.total:,} recipes."
    for outcome, count in run.outcomes.items():
        if count:
            yield f"{count:9,}  {outcome}"


def _ask(client: httpx.Client, method: str, address: str, **rest: Any) -> bytes:
    try:
        answer = client.request(method, address, **rest)
    except httpx.HTTPError as error:
        raise Unreachable(f"No service answers at {client.base_url} ({error}).") from None
    if not answer.is_success:
        raise _refusal(answer)
    return answer.content


def _refusal(answer: httpx.Response) -> Exception:
    if not answer.headers.get("content-type", "").startswith("application/problem+json"):
        return Unreachable(f"What answers at {answer.url} is not this service; check --url.")
    words = "\n".join(problem_words(Problem.model_validate_json(answer.content), None))
    if answer.status_code >= 500:
        return Unreachable(words)
    return RunRefused(words)


def _client(url: str) -> httpx.Client:
    key = os.environ.get("FORMHOLD_KEY")
    return httpx.Client(
        base_url=url,
        headers={"Authorization": f"Bearer {key}"} if key else {},
        timeout=PATIENCE_SECONDS,
        trust_env=not is_loopback(url),
    )
