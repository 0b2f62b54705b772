"""A body as it arrives over HTTP: plain JSON or a form, not too large, not too slow; its bytes.

What the bytes mean is `service.reading.strict_json`.
"""

import asyncio

from starlette.requests import Request

from service.http.negotiation import JSON
from service.problems import BODY_TOO_LARGE, BODY_TOO_SLOW, UNSUPPORTED_BODY, Refused
from service.settings import Settings


async def receive_body(request: Request, settings: Settings, media_type: str = JSON) -> bytes:
    """Return the body of `request`; raise Refused, or ClientDisconnect where the caller hung up."""
    check_coding(request)
    _check_media_type(request, media_type)
    _check_length(request, settings.max_body_bytes)
    try:
        async with asyncio.timeout(settings.body_seconds):
            return await _gather(request, settings.max_body_bytes)
    except TimeoutError:
        detail = f"The body did not arrive within {settings.body_seconds:g} seconds."
        raise Refused(BODY_TOO_SLOW, detail) from None


def check_coding(request: Request) -> None:
    """Refuse a compressed body; raise Refused."""
    codings = ",".join(request.headers.getlist("content-encoding"))
    if codings.strip().lower() not in {"", "identity"}:
        raise Refused(
            UNSUPPORTED_BODY,
            "Send the body as it is, without Content-Encoding.",
            headers={"Accept-Encoding": "identity"},
        )


_KINDS = {JSON: "JSON", "text/csv": "CSV", "application/x-ndjson": "NDJSON, or text/csv,"}


def _check_media_type(request: Request, wanted: str) -> None:
    given = request.headers.getlist("content-type")
    media_type, *parameters = (given[0] if len(given) == 1 else "").lower().split(";")
    plain = {"", "charset=utf-8", 'charset="utf-8"'}
    if media_type.strip() != wanted or not plain.issuperset(
        parameter.strip() for parameter in parameters
    ):
        what = _KINDS.get(wanted, "a form")
        raise Refused(
            UNSUPPORTED_BODY,
            f"Send {what} in UTF-8 with Content-Type: {wanted}.",
            headers={"Accept": wanted},
        )


def _check_length(request: Request, most: int) -> None:
    length = request.headers.get("content-length", "")
    # A length of more digits than any limit has is not worth reckoning; Python might refuse to.
    if length.isascii() and length.isdigit() and (len(length) > 18 or int(length) > most):
        raise _too_large(most)


async def _gather(request: Request, most: int) -> bytes:
    body = bytearray()
    async for chunk in request.stream():
        body += chunk
        if len(body) > most:
            raise _too_large(most)
    return bytes(body)


def _too_large(most: int) -> Refused:
    return Refused(BODY_TOO_LARGE, f"A body may have {most:,} bytes.")
