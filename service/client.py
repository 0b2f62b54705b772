"""A client: this service asked from Python, with its own values in and out.

    with Formhold("http://127.0.0.1:8000") as formhold:
        outcome = formhold.reformulate({"recipe": {"lines": [...]}, "window": {...}})

A request that found the service busy or away is sent again, after as long as it says, where that is
safe: a question always is, and whatever stores something bears an Idempotency-Key.
"""

import time
import uuid
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import islice
from types import TracebackType
from typing import Any
from urllib.parse import urlsplit

import httpx

from models.brief_batch import MOST_BRIEFS, BriefAnswer
from models.catalogue import Catalogue
from models.notice import Notice
from models.outcome import Outcome
from models.run import Run, RunBrief, RunItem
from models.run_changes import AppliedRun
from models.value import Value
from service.exchange.importing import ImportSummary
from service.problems import MEDIA_TYPE, Problem

TRIES = 4
PATIENCE_SECONDS = 40.0
"""Longer than the service takes over any answer, were it to start from cold."""
MOST_WAIT_SECONDS = 60.0
"""Who is told to wait for longer hears of it instead."""
_WAIT_SECONDS = 0.5
"""Before the second try of a service that is away; twice as long each time after that."""
_SAFE = {"GET", "HEAD"}
_BUSY = {429, 503}

Body = Mapping[str, Any] | Value


class ClientError(Exception):
    """Whatever keeps an answer from coming."""


class Unreachable(ClientError):
    """No service answers there, or what answers is not this service."""


class RequestRefused(ClientError):
    """The service refused the request; `problem` says why, and names every fault."""

    def __init__(self, problem: Problem) -> None:
        """Keep the problem."""
        faults = "".join(f"\n{fault.pointer}: {fault.message}" for fault in problem.errors)
        super().__init__(f"{problem.title}: {problem.detail}{faults}")
        self.problem = problem


class Formhold:
    """A service at an address; close it, or use it as a context. Threads may share it."""

    def __init__(
        self,
        url: str,
        key: str | None = None,
        *,
        tries: int = TRIES,
        patience_seconds: float = PATIENCE_SECONDS,
        transport: httpx.BaseTransport | None = None,
    ) -> None:
        """Speak to the service at `url` with the API key `key`, trying up to `tries` times."""
        self._url, self._tries = url.rstrip("/"), max(1, tries)
        self._http = httpx.Client(
            headers={"Authorization": f"Bearer {key}"} if key else {},
            timeout=patience_seconds,
            trust_env=not is_loopback(url),
            transport=transport,
        )

    def __enter__(self) -> "Formhold":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of every connection."""
        self._http.close()

    def reformulate(self, brief: Body) -> Outcome:
        """Return the smallest changes that meet `brief`, or what keeps it from being met.

        This and all else here raises RequestRefused or Unreachable.
        """
        answer = self.ask("/v1/reformulations", brief)
        return Outcome.model_validate_json(answer)

    def reformulate_each(self, briefs: Iterable[Body]) -> Iterator[BriefAnswer]:
        """Yield a line for each of any number of briefs, in their order, as they are ready; what is
        at fault in one keeps none of the others."""
        waiting, before = iter(briefs), 0
        while some := list(islice(waiting, MOST_BRIEFS)):
            body = {"briefs": [_plain(brief) for brief in some]}
            for line in self._lines("POST", "/v1/batches", json=body):
                found = BriefAnswer.model_validate_json(line)
                yield found.model_copy(update={"index": before + found.index})
            before += len(some)

    def ask(self, path: str, body: Body) -> bytes:
        """Return the answer to any question of the service, as JSON: `/v1/ladders`, say."""
        return self._good(self.send("POST", path, json=_plain(body), repeatable=True)).content

    def make_catalogue(self, title: str) -> Catalogue:
        """Make a catalogue to import recipes into."""
        return Catalogue.model_validate_json(self._store("/v1/catalogues", {"title": title}))

    def import_recipes(self, catalogue_id: str, file: bytes, media_type: str) -> ImportSummary:
        """Store the recipes of a file: text/csv, application/x-ndjson, application/ld+json or
        text/html."""
        path = f"/v1/catalogues/{catalogue_id}/import"
        headers = {"Content-Type": media_type}
        answer = self.send("POST", path, content=file, headers=headers, timeout=None, stores=True)
        return ImportSummary.model_validate_json(self._good(answer).content)

    def start_run(self, brief: Mapping[str, Any] | RunBrief) -> Run:
        """Ask a brief of every recipe of a catalogue, in the background."""
        return Run.model_validate_json(self._store("/v1/runs", _plain(brief)))

    def run(self, run_id: str) -> Run:
        """Return how far a run has come."""
        return Run.model_validate_json(self._good(self.send("GET", f"/v1/runs/{run_id}")).content)

    def follow(self, run_id: str) -> Iterator[Run]:
        """Yield a run each time it has come on, until it is over; goes on where the connection
        broke."""
        seen: dict[str, str] = {}
        broken = 0
        while True:
            try:
                for line in self._lines("GET", f"/v1/runs/{run_id}/events", headers=dict(seen)):
                    name, _, value = line.partition(": ")
                    if name == "id":
                        seen["Last-Event-ID"], broken = value, 0
                    elif name == "data":
                        run = Run.model_validate_json(value)
                        yield run
                        if run.is_over:
                            return
            except Unreachable:
                broken += 1
                if broken == self._tries:
                    raise
                time.sleep(_WAIT_SECONDS * 2**broken)

    def items(self, run_id: str) -> Iterator[RunItem]:
        """Yield what came of each recipe of a run that is done, in the catalogue's order."""
        for line in self._lines("GET", f"/v1/runs/{run_id}/items?format=ndjson"):
            yield RunItem.model_validate_json(line)

    def tell_of_run(self, run_id: str, url: str, secret: str) -> Notice:
        """Have the end of a run told to `url`, signed with `secret` (`service.runs.notices`)."""
        told = self.send("PUT", f"/v1/runs/{run_id}/notice", json={"url": url, "secret": secret})
        return Notice.model_validate_json(self._good(told).content)

    def apply_run(self, run_id: str, recipes: Sequence[str] | None = None) -> AppliedRun:
        """Take over what a run proposes, for all recipes that it moved or for those named."""
        body = {} if recipes is None else {"recipes": list(recipes)}
        return AppliedRun.model_validate_json(self._store(f"/v1/runs/{run_id}/apply", body))

    def send(
        self,
        method: str,
        path: str,
        *,
        repeatable: bool = False,
        stores: bool = False,
        **rest: Any,
    ) -> httpx.Response:
        """Return the answer to any request, whatever its status; raise Unreachable.

        `stores` gives it an Idempotency-Key; with one, or where it is `repeatable`, a request is
        sent again after the connection broke.
        """
        if stores:
            rest["headers"] = {**rest.get("headers", {}), "Idempotency-Key": uuid.uuid4().hex}
        may_repeat = repeatable or stores or method in _SAFE
        for left in reversed(range(self._tries)):
            pause = _WAIT_SECONDS * 2 ** (self._tries - 1 - left)
            try:
                answer = self._http.request(method, self._url + path, **rest)
            except (httpx.HTTPError, httpx.InvalidURL, ValueError) as error:
                if not left or not may_repeat or not isinstance(error, httpx.TransportError):
                    raise self._unreachable(error) from error
            else:
                asked = _retry_after(answer)
                if not left or asked is None:
                    return answer
                pause = asked
            time.sleep(pause)
        raise AssertionError("the last try answers or raises")

    def _store(self, path: str, body: Any) -> bytes:
        return self._good(self.send("POST", path, json=body, stores=True)).content

    def _lines(self, method: str, path: str, **rest: Any) -> Iterator[str]:
        try:
            with self._http.stream(method, self._url + path, **rest) as answer:
                if not answer.is_success:
                    answer.read()
                self._good(answer)
                yield from (line for line in answer.iter_lines() if line)
        except (httpx.HTTPError, httpx.InvalidURL, ValueError) as error:
            raise self._unreachable(error) from error

    def _good(self, answer: httpx.Response) -> httpx.Response:
        if answer.is_success:
            return answer
        if answer.headers.get("content-type", "").partition(";")[0] != MEDIA_TYPE:
            raise Unreachable(f"What answers at {self._url} is not this service.")
        raise RequestRefused(Problem.model_validate_json(answer.content))

    def _unreachable(self, error: Exception) -> Unreachable:
        return Unreachable(f"No service answers at {self._url} ({error}).")


def is_loopback(url: str) -> bool:
    """Tell whether `url` is on this machine, where no proxy could reach it."""
    try:
        return urlsplit(url).hostname in {"127.0.0.1", "::1", "localhost"}
    except ValueError:  # no address at all, as the first request will tell
        return False


def _plain(body: Body) -> Any:
    if isinstance(body, Value):
        return body.model_dump(mode="json", by_alias=True, exclude_unset=True)
    return dict(body)


def _retry_after(answer: httpx.Response) -> float | None:
    """Return for how long a busy service asks to be left alone, None where it is not, or for far
    too long."""
    said = answer.headers.get("retry-after", "")
    if answer.status_code not in _BUSY or not said.isdigit():
        return None
    return float(said) if float(said) <= MOST_WAIT_SECONDS else None
