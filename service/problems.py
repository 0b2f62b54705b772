"""Problems: every way a request can go wrong, as an RFC 9457 document.

A kind of problem is known by its `type`, which stays the same from version to version; title and
detail are for people and may change. How a problem becomes an HTTP response is
`service.http.refusing`.
"""

from collections.abc import Mapping
from typing import NamedTuple

from models.errors import BadInput, Fault, FormholdError, RecheckFailed
from models.value import Value

MEDIA_TYPE = "application/problem+json"

MOST_FAULTS_LISTED = 500
"""A megabyte of mistakes would be answered with twenty; nobody mends more than this at once."""


class Problem(Value):
    """What went wrong, why, and every fault of the request with a pointer to where it stands."""

    type: str
    title: str
    status: int
    detail: str
    errors: tuple[Fault, ...] = ()


class Kind(NamedTuple):
    """One kind of problem."""

    slug: str
    status: int
    title: str

    def problem(self, detail: str, faults: tuple[Fault, ...] = ()) -> Problem:
        """Return a problem of this kind."""
        return Problem(
            type=f"/problems/{self.slug}",
            title=self.title,
            status=self.status,
            detail=detail,
            errors=faults,
        )


MALFORMED_HTTP = Kind("malformed-http", 400, "The request is not HTTP")
NOT_JSON = Kind("not-json", 400, "The body is not JSON")
NESTED_TOO_DEEP = Kind("nested-too-deep", 400, "The body is nested too deep")
NO_KEY = Kind("no-key", 401, "The request needs an API key")
FOREIGN_PAGE = Kind("foreign-page", 403, "Another site's page may not use this service")
NOT_FOUND = Kind("not-found", 404, "There is nothing at this address")
UNKNOWN_INGREDIENT = Kind("unknown-ingredient", 404, "The ingredient is not known")
METHOD_NOT_ALLOWED = Kind("method-not-allowed", 405, "This address does not take that method")
BODY_TOO_SLOW = Kind("body-too-slow", 408, "The body took too long to arrive")
CONFLICT = Kind("conflict", 409, "What is stored stands in the way")
IN_FLIGHT = Kind("in-flight", 409, "The first request with that key is still at work")
STALE = Kind("stale", 412, "It has changed since you saw it")
BODY_TOO_LARGE = Kind("body-too-large", 413, "The body is too large")
UNSUPPORTED_BODY = Kind("unsupported-body", 415, "The body is not plain JSON")
MALFORMED_REQUEST = Kind("malformed-request", 422, "The request cannot be answered as it stands")
KEY_REUSED = Kind("key-reused", 422, "The idempotency key came with another request before")
NO_PRECONDITION = Kind("no-precondition", 428, "A change must say what it changes")
TOO_MANY_REQUESTS = Kind("too-many-requests", 429, "Too many requests")
CLIENT_GONE = Kind("client-gone", 499, "The caller hung up")
INTERNAL_ERROR = Kind("internal-error", 500, "Something went wrong on our side")
ANSWER_WITHHELD = Kind("answer-withheld", 500, "The answer did not survive its own check")
BUSY = Kind("busy", 503, "The service is busy")
DATABASE_AWAY = Kind("database-away", 503, "The database does not answer")
NOT_READY = Kind("not-ready", 503, "The service cannot answer yet")


class Refused(FormholdError):
    """A request that is turned away for a reason other than its content."""

    def __init__(
        self,
        kind: Kind,
        detail: str,
        *,
        faults: tuple[Fault, ...] = (),
        headers: Mapping[str, str] | None = None,
    ) -> None:
        """Keep the problem, and the headers that go with it."""
        super().__init__(detail)
        self.problem = kind.problem(detail, faults)
        self.headers = dict(headers or {})


def problem_of(error: FormholdError) -> Problem:
    """Return the problem that `error` stands for."""
    match error:
        case Refused():
            return error.problem
        case BadInput():
            return _malformed(error.faults)
        case RecheckFailed():
            return ANSWER_WITHHELD.problem(
                "The answer broke its own brief when it was weighed again, so it is not given. "
                "This is a fault of ours; please report it with the request."
            )
    raise error


def _malformed(faults: tuple[Fault, ...]) -> Problem:
    count = f"{len(faults)} faults" if len(faults) != 1 else "one fault"
    detail = f"The request has {count}; errors says where each stands and what to do."
    if len(faults) > MOST_FAULTS_LISTED:
        detail += f" The first {MOST_FAULTS_LISTED} are listed."
    return MALFORMED_REQUEST.problem(detail, faults[:MOST_FAULTS_LISTED])
