"""Callers: who asks, told by the key that the request bears; and how a key is made.

A key is `fh_`, eight characters to find it by, and 256 bits that nobody can guess; only its digest
is kept. Where the service runs for one person on one machine, whoever asks from there needs no key;
pages of other sites, and whatever came through a proxy, are not that person.
"""

import base64
import hashlib
import hmac
import re
import secrets
from typing import Annotated, NamedTuple

from fastapi import Depends, Request, Security
from fastapi.security import HTTPBearer
from starlette.concurrency import run_in_threadpool

from service.http.rate_limits import neighbourhood
from service.http.wiring import wiring
from service.problems import FOREIGN_PAGE, NO_KEY, Refused
from service.settings import is_loopback
from service.store.callers import SINGLE_USER, add_key, caller_named, find_key, single_user_named
from service.store.database import Database

_KEY = re.compile(r"fh_([a-z2-7]{8})_[a-z2-7]{52}")
_SCHEME = HTTPBearer(
    auto_error=False,
    scheme_name="key",
    description="An API key, made with `python -m service keys create NAME`. A service for one "
    "person on one machine asks for none.",
)
_PASSED_ON = ("forwarded", "x-forwarded-for", "x-forwarded-host", "x-real-ip", "via")


class NewKey(NamedTuple):
    """A key as it is shown once, and what is kept of it."""

    text: str
    prefix: str
    digest: bytes


def new_key() -> NewKey:
    """Return a key that nobody has."""
    prefix, secret = _characters(5), _characters(32)
    text = f"fh_{prefix}_{secret}"
    return NewKey(text, prefix, _digest(text))


def issue_key(database: Database, name: str, *, owns_everything: bool = False) -> NewKey:
    """Make a key for the caller of that name, or, where it `owns_everything`, for whoever stored
    without a key on this machine, called so from now on.

    Raises DatabaseUnusable, and Taken where somebody else bears the name already.
    """
    key, whose = new_key(), single_user_named if owns_everything else caller_named
    with database.writing() as connection:
        add_key(connection, whose(connection, name), key.prefix, key.digest)
    return key


async def key_holder(request: Request) -> str | None:
    """Return the caller whose key the request bears, None where it bears no good one.

    Without a key nothing is waited for: under a crowd that is most of what a refusal would cost.
    """
    if "authorization" not in request.headers:
        return None
    return await run_in_threadpool(known_holder, request)


def known_holder(request: Request) -> str | None:
    """Return what `key_holder` does; wait for the database here."""
    scheme, _, key = request.headers.get("authorization", "").partition(" ")
    shape = _KEY.fullmatch(key.strip())
    if scheme.lower() != "bearer" or shape is None:
        return None
    with wiring(request).database.reading() as connection:
        kept = find_key(connection, shape[1])
    if kept is None or not hmac.compare_digest(kept.digest, _digest(shape[0])):
        return None
    return kept.caller_id


KeyHolder = Annotated[str | None, Depends(key_holder)]


def caller(request: Request, holder: KeyHolder, _: Annotated[object, Security(_SCHEME)]) -> str:
    """Return the identity of whoever asks; raise Refused where that cannot be told."""
    if holder is not None:
        return holder
    if "authorization" in request.headers:
        raise _no_key("The key is not known, or was revoked.", ' error="invalid_token"')
    settings = wiring(request).settings
    if not settings.is_single_user:
        raise _no_key("Send Authorization: Bearer with your API key.")
    _check_origin(request)
    if is_loopback(settings.host) and not _comes_from_here(request):
        raise _no_key("Without a key, only requests from the service's own machine are answered.")
    return SINGLE_USER


CallerId = Annotated[str, Depends(caller)]


async def within_rate(request: Request, holder: KeyHolder) -> None:
    """Count the request among its caller's, or its address's; raise Refused for one too many."""
    address = request.client.host if request.client else ""
    request.state.asker = holder or neighbourhood(address)
    rates = wiring(request).rates
    if rates.may_take_long:
        await run_in_threadpool(rates.count, holder, address)
    else:
        rates.count(holder, address)


def count_more(request: Request, more: int) -> None:
    """Count what else stands in the request as requests of their own; raise Refused for one too
    many. May wait for the database."""
    address = request.client.host if request.client else ""
    holder = known_holder(request)
    for _ in range(more):
        wiring(request).rates.count(holder, address)


def asker(request: Request) -> str:
    """Return whose turn a request takes: its key's holder's, or its address's."""
    known: str | None = getattr(request.state, "asker", None)
    return known or neighbourhood(request.client.host if request.client else "")


def _check_origin(request: Request) -> None:
    origin = request.headers.get("origin")
    if origin is not None and origin != f"{request.url.scheme}://{request.url.netloc}":
        raise Refused(FOREIGN_PAGE, "What is stored here is not for other sites' pages to see.")


def _comes_from_here(request: Request) -> bool:
    """Tell whether the request was sent on this machine, to this machine, by nobody's proxy.

    The name it was sent to counts too: a page can point a name of its own at this machine.
    """
    passed_on = any(name in request.headers for name in _PASSED_ON)
    sender = request.client.host if request.client else ""
    return not passed_on and is_loopback(sender) and is_loopback(request.url.hostname or "")


def _no_key(detail: str, error: str = "") -> Refused:
    challenge = f'Bearer realm="formhold"{"," if error else ""}{error}'
    return Refused(NO_KEY, detail, headers={"WWW-Authenticate": challenge})


def _characters(count_bytes: int) -> str:
    return base64.b32encode(secrets.token_bytes(count_bytes)).decode().rstrip("=").lower()


def _digest(key: str) -> bytes:
    return hashlib.sha256(key.encode()).digest()
