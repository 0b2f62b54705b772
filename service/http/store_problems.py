"""What the store will not do, as the problems that callers are told of."""

from service.http.preconditions import etag
from service.http.solve_pool import RETRY_AFTER_SECONDS
from service.problems import (
    CONFLICT,
    DATABASE_AWAY,
    IN_FLIGHT,
    KEY_REUSED,
    NOT_FOUND,
    STALE,
    Refused,
)
from service.store.database import DatabaseUnusable
from service.store.refusals import (
    AtWork,
    InFlight,
    KeyReused,
    NotEmpty,
    NotThere,
    Stale,
    StoreRefusal,
    Taken,
)

_RETRY_AFTER = {"Retry-After": str(RETRY_AFTER_SECONDS)}

NOTHING_THERE = Refused(
    NOT_FOUND, "There is nothing of that name here that is yours; a list shows what there is."
)


def refusal_of(error: StoreRefusal | DatabaseUnusable) -> Refused:
    """Return what a caller is told; what another caller has stored is as if it were not there."""
    match error:
        case NotThere():
            return NOTHING_THERE
        case Stale():
            detail = f"It is at {etag(error.current)} now; get it, look, and change that."
            return Refused(STALE, detail, headers={"ETag": etag(error.current)})
        case Taken():
            return Refused(
                CONFLICT,
                "Another recipe of the catalogue has that external_id; change that recipe, or "
                "choose another external_id.",
            )
        case NotEmpty():
            return Refused(
                CONFLICT,
                f"The {error.holder} still holds {error.held}; "
                f"add ?{error.held}=delete to delete both.",
            )
        case AtWork():
            return Refused(
                CONFLICT, "The run is still at work; wait for its end, or cancel it first."
            )
        case KeyReused():
            return Refused(
                KEY_REUSED,
                "An Idempotency-Key stands for one request, and this one differs from the first; "
                "send it with a key of its own.",
            )
        case InFlight():
            detail = "Its answer will be repeated for you; try again in a moment."
            return Refused(IN_FLIGHT, detail, headers=_RETRY_AFTER)
        case DatabaseUnusable():
            detail = "Try again, with the same Idempotency-Key where you store something."
            return Refused(DATABASE_AWAY, detail, headers=_RETRY_AFTER)
    raise error
