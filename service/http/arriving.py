"""A file as it arrives over HTTP, for a thread that reads it bit by bit: of any size, never whole.

A caller may take long over a large file, but not over one piece of it.
"""

import asyncio
from collections.abc import Iterator

import anyio.from_thread
from starlette.requests import Request

from service.exchange.formats import READERS, Reader
from service.problems import BODY_TOO_SLOW, UNSUPPORTED_BODY, Refused


def reader_of(request: Request) -> Reader:
    """Return who reads the body of `request`; raise Refused for a kind of file nobody reads."""
    given = request.headers.getlist("content-type")
    media_type, *parameters = (given[0] if len(given) == 1 else "").lower().split(";")
    charsets = [p.partition("=")[2].strip(' "') for p in parameters if "charset" in p]
    reader = READERS.get(media_type.strip())
    if reader is None or any(charset not in {"utf-8", "utf8"} for charset in charsets):
        kinds = ", ".join(READERS)
        raise Refused(
            UNSUPPORTED_BODY,
            f"Send one of these in UTF-8, and say which in Content-Type: {kinds}.",
            headers={"Accept": kinds},
        )
    return reader


def pieces_of(request: Request, seconds: float) -> Iterator[bytes]:
    """Yield the body of `request` as it arrives, each piece within `seconds`; for a thread.

    Raises Refused where it does not, ClientDisconnect where the caller hung up.
    """
    stream = aiter(request.stream())

    async def next_piece() -> bytes | None:
        async with asyncio.timeout(seconds):
            return await anext(stream, None)

    try:
        while (piece := anyio.from_thread.run(next_piece)) is not None:
            yield piece
    except TimeoutError:
        detail = f"Nothing more of the file came within {seconds:g} seconds."
        raise Refused(BODY_TOO_SLOW, detail) from None
