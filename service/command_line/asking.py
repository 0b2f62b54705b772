"""Asking a question: in this process, or of a service over HTTP; the reply is the same bytes."""

import json
import os
from collections.abc import Callable
from typing import Any, NamedTuple

from models.errors import FormholdError
from service.client import Formhold
from service.client import Unreachable as NobodyThere
from service.deadline import Deadline
from service.problems import problem_of
from service.questions.question import Question

PATIENCE_SECONDS = 30
"""Beyond the service's own deadline; it may be far away, or start from cold."""


TRIES = 2
"""A busy service is asked once more; then whoever typed the command may decide."""


class Unreachable(Exception):
    """No service answers there; the text says what to do."""


class Reply(NamedTuple):
    """What came back: an answer (200), or a problem document."""

    status: int
    content: bytes


def ask_here(respond: Callable[[], bytes]) -> Reply:
    """Return the reply of `respond`, which works in this process."""
    try:
        return Reply(200, respond())
    except FormholdError as error:
        problem = problem_of(error)
        return Reply(problem.status, problem.model_dump_json().encode())


def ask(
    question: Question[Any], request: dict[str, Any], url: str | None, solve_seconds: float
) -> Reply:
    """Return the reply to `request`, from the service at `url` or from here; raise Unreachable."""
    body = json.dumps(request, ensure_ascii=False).encode(errors="replace")
    if url is None:
        return ask_here(lambda: question.respond(body, Deadline(solve_seconds)))
    headers = {"Content-Type": "application/json"}
    key = os.environ.get("FORMHOLD_KEY")
    if key and request.get("kitchen"):  # a kitchen is its caller's own; all else asks for no key
        headers["Authorization"] = f"Bearer {key}"
    patience = solve_seconds + PATIENCE_SECONDS
    return fetch("POST", url, question.path, patience, content=body, headers=headers)


def fetch(method: str, url: str, path: str, patience: float, **rest: Any) -> Reply:
    """Return the reply of the service at `url`; raise Unreachable."""
    try:
        with Formhold(url, tries=TRIES, patience_seconds=patience) as formhold:
            response = formhold.send(method, path, **rest)
    except NobodyThere as error:
        raise Unreachable(f"{error} Start one with: python -m service") from None
    media_type = response.headers.get("content-type", "").partition(";")[0]
    if media_type not in {"application/json", "application/problem+json"}:
        raise Unreachable(f"What answers at {url} is not this service; check --url.")
    return Reply(response.status_code, response.content)
