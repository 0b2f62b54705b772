"""Storing: one request that changes what is kept, from its body to its answer.

Everything that waits for the database is done by a thread; the body and the change are judged
before anything is written, and what is written is written whole.
"""

from collections.abc import Callable, Iterator
from functools import partial
from typing import Annotated

from fastapi import Path
from pydantic import AfterValidator
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from models.value import Value
from service.http.bodies import receive_body
from service.http.idempotency import REPLAY, Digest, claim_of
from service.http.negotiation import JSON
from service.http.preconditions import etag
from service.http.wiring import wiring
from service.reading.strict_json import Asked, understand
from service.store.answered import Answered, Claim, answer_once, is_answered
from service.store.database import Connection, Database
from service.store.identities import is_identity
from service.store.refusals import InFlight, NotThere


def stored_name(text: str) -> str:
    """Return `text` if it could name something stored; raise NotThere."""
    if not is_identity(text):
        raise NotThere(text)
    return text


_ITS_NAME = "Its `id`, as its making or a list told it."
StoredName = Annotated[
    str, Path(max_length=200, description=_ITS_NAME), AfterValidator(stored_name)
]
"""The name of something stored, as it stands in an address."""


async def store_new(
    request: Request,
    caller_id: str,
    key: str | None,
    asked: type[Asked],
    keep: Callable[[Connection, Asked], Answered],
) -> Response:
    """Answer a request to store what its body holds: once for each Idempotency-Key."""
    wired = wiring(request)
    body = await receive_body(request, wired.settings)
    claim = None if key is None else claim_of(request, caller_id, key, body)

    def work() -> tuple[Answered, bool]:
        new = understand(body, asked)
        with wired.database.writing() as connection:
            act = partial(keep, connection, new)
            return (act(), False) if claim is None else answer_once(connection, claim, act)

    return response_of(*await run_in_threadpool(work))


def store_stream(
    database: Database,
    caller_id: str,
    key: str,
    digest: Digest,
    pieces: Iterator[bytes],
    keep: Callable[[], Answered],
) -> tuple[Answered, bool]:
    """Return what `keep` answers, which stores what `pieces` bring, and whether it is a replay.

    A stream is stored piece by piece, so it must be one that may be sent again; the key keeps its
    answer. Under a key that has one, the stream is read for its digest alone.
    """
    with database.reading() as connection:
        known = is_answered(connection, caller_id, key)
    answered = None if known else keep()
    for _ in pieces:  # what nobody read belongs to the digest
        pass
    return _answer_after(database, digest.claim(caller_id, key), answered)


async def store_bit_by_bit(
    request: Request,
    caller_id: str,
    key: str | None,
    asked: type[Asked],
    keep: Callable[[Asked], Answered],
) -> Response:
    """Answer a request that changes much, in transactions of its own; so it must be one that may be
    sent again, and the key keeps its answer."""
    wired = wiring(request)
    body = await receive_body(request, wired.settings)
    claim = None if key is None else claim_of(request, caller_id, key, body)

    def work() -> tuple[Answered, bool]:
        change = understand(body, asked)
        if claim is None:
            return keep(change), False
        with wired.database.reading() as connection:
            known = is_answered(connection, caller_id, claim.key)
        return _answer_after(wired.database, claim, None if known else keep(change))

    return response_of(*await run_in_threadpool(work))


def _answer_after(
    database: Database, claim: Claim, answered: Answered | None
) -> tuple[Answered, bool]:
    """Return the first answer under the key of `claim`: what is `answered`, or what was before."""

    def act() -> Answered:
        if answered is None:  # forgotten a moment ago, after its week
            raise InFlight(claim.key)
        return answered

    with database.writing() as connection:
        return answer_once(connection, claim, act)


def response_of(answered: Answered, replayed: bool) -> Response:
    """Return what was answered, marked where it was answered before."""
    headers = {**answered.headers, **(REPLAY if replayed else {})}
    return Response(answered.body, answered.status, headers, media_type=JSON)


async def store_change(
    request: Request,
    asked: type[Asked],
    keep: Callable[[Connection, Asked], tuple[Value, int]],
) -> Response:
    """Answer a request to change what its body says; `keep` returns what is kept, and its version.

    A change needs no key: it names the version that it changes, and that one changes once.
    """
    wired = wiring(request)
    body = await receive_body(request, wired.settings)

    def work() -> tuple[Value, int]:
        change = understand(body, asked)
        with wired.database.writing() as connection:
            return keep(connection, change)

    value, version = await run_in_threadpool(work)
    return Response(value.model_dump_json(), headers={"ETag": etag(version)}, media_type=JSON)


def created(value: Value, address: str, version: int | None = None) -> Answered:
    """Return the answer that `value` was made and stands at `address`."""
    headers = {"Location": address, **({"ETag": etag(version)} if version else {})}
    return Answered(201, headers, value.model_dump_json().encode())
