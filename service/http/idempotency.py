"""Idempotency keys: a request that stores something may be sent again, and is done once.

The same key with the same request gets the first answer to the byte, marked as a replay; only an
answer that stored something is kept, and for a week. What is kept is `service.store.answered`.
"""

import hashlib
import re
from collections.abc import Iterable, Iterator
from typing import Annotated

from fastapi import Depends, Header, Request

from models.errors import BadInput, Fault, pointer
from service.store.answered import Claim

_KEY = re.compile(r"[\x21-\x7e]{1,255}")
REPLAY = {"Idempotent-Replay": "true"}

_DESCRIPTION = """\
Makes it safe to send the request again: the same key and the same body get the first answer
again. Up to 255 visible ASCII characters; remembered for a week."""
_Given = Annotated[str | None, Header(alias="Idempotency-Key", description=_DESCRIPTION)]


async def idempotency_key(request: Request, _given: _Given = None) -> str | None:
    """Return the request's key, None where it has none; raise BadInput for what is no key."""
    given = request.headers.getlist("idempotency-key")
    if not given:
        return None
    if len(given) > 1 or not _KEY.fullmatch(given[0]):
        message = "must be given once, as 1 to 255 visible ASCII characters"
        raise BadInput([Fault(pointer=pointer(("header", "Idempotency-Key")), message=message)])
    return given[0]


IdempotencyKey = Annotated[str | None, Depends(idempotency_key)]


class Digest:
    """What tells one request from another: its method, its address, and its body as it comes."""

    def __init__(self, request: Request) -> None:
        """Begin with what is known before the body."""
        self._so_far = hashlib.sha256(f"{request.method} {request.url.path}\n".encode())

    def watch(self, pieces: Iterable[bytes]) -> Iterator[bytes]:
        """Yield `pieces`, each taken into account."""
        for piece in pieces:
            self._so_far.update(piece)
            yield piece

    def claim(self, caller_id: str, key: str) -> Claim:
        """Return the claim that the request makes to its key, once its body is there."""
        return Claim(caller_id, key, self._so_far.digest())


def claim_of(request: Request, caller_id: str, key: str, body: bytes) -> Claim:
    """Return the claim that the request makes to its key."""
    digest = Digest(request)
    for _ in digest.watch([body]):
        pass
    return digest.claim(caller_id, key)
