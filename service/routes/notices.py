"""Notices: whom to tell once a run is over."""

from fastapi import APIRouter, Depends, Request, Response

from models.errors import BadInput, Fault
from models.notice import NewNotice, Notice
from service.http.callers import CallerId
from service.http.negotiation import JSON
from service.http.openapi import describe_showing, describe_storing
from service.http.query_strings import no_query
from service.http.storing import StoredName, store_new
from service.http.wiring import wiring
from service.runs.outside import NotAllowed
from service.store import notices
from service.store.answered import Answered
from service.store.database import Connection
from service.store.runs import find_run

router = APIRouter(prefix="/v1/runs/{run_id}/notice", tags=["shop"])


@router.put(
    "",
    operation_id="tellOfRun",
    summary="Be told of a run's end",
    response_model=Notice,
    dependencies=[Depends(no_query)],
    **describe_storing(NewNotice, 404),
)
async def tell_of_run(request: Request, run_id: StoredName, caller: CallerId) -> Response:
    """Name an address that is told, by a signed POST, once the run is over: at once where it is.
    It takes the place of one that was named before. Only addresses at hosts that the operator
    allows are called, with TLS, and never by a redirection; unless it is answered with a 2xx within
    ten seconds it is tried again, seven times within a day. The body is
    `{"event": "run-over", "run": …}`; `Formhold-Signature` is
    `created=SECONDS, hmac-sha256=HEX`, the HMAC of `SECONDS.BODY` under the secret."""
    allowed = wiring(request).notices.allowed

    def keep(connection: Connection, new: NewNotice) -> Answered:
        find_run(connection, caller, run_id)  # another's is not there, whatever the address
        try:
            allowed.check(new.url)
        except NotAllowed as error:
            raise BadInput([Fault(pointer="/url", message=str(error))]) from None
        kept = notices.keep_notice(connection, caller, run_id, new)
        return Answered(200, {}, kept.model_dump_json().encode())

    return await store_new(request, caller, None, NewNotice, keep)


@router.get(
    "",
    operation_id="getNotice",
    summary="Get whom a run is told to",
    response_model=Notice,
    dependencies=[Depends(no_query)],
    **describe_showing(404),
)
def get_notice(request: Request, run_id: StoredName, caller: CallerId) -> Response:
    """Answer the address, how often it was tried, what it answered, and when it is tried again."""
    with wiring(request).database.reading() as connection:
        found = notices.find_notice(connection, caller, run_id)
    return Response(found.model_dump_json(), media_type=JSON)


@router.delete(
    "",
    operation_id="forgetNotice",
    summary="Be told no more",
    status_code=204,
    dependencies=[Depends(no_query)],
    **describe_showing(404),
)
def forget_notice(request: Request, run_id: StoredName, caller: CallerId) -> None:
    """Tell nobody of the run."""
    with wiring(request).database.writing() as connection:
        notices.forget_notice(connection, caller, run_id)
