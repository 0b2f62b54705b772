"""A file as it arrives: read by a thread, given up where nothing more comes."""

import asyncio
from typing import Any

import pytest
from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect, Request

from service.exchange.csv_catalogue import read_csv
from service.http.arriving import pieces_of, reader_of
from service.problems import Refused

END = {"type": "http.request", "body": b"", "more_body": False}


def piece(body: bytes) -> dict[str, Any]:
    return {"type": "http.request", "body": body, "more_body": True}


def arrived(*messages: dict[str, Any], seconds: float = 5.0) -> list[bytes]:
    """Return what a thread sees of a request of which nothing comes after `messages`."""
    waiting = list(messages)

    async def receive() -> dict[str, Any]:
        if not waiting:
            await asyncio.sleep(60)
        return waiting.pop(0)

    async def whole() -> list[bytes]:
        request = Request({"type": "http", "headers": []}, receive)
        return await run_in_threadpool(lambda: list(pieces_of(request, seconds)))

    return asyncio.run(whole())


def test_pieces_come_as_they_are_sent():
    """Nothing is put together and nothing is lost."""
    assert b"".join(arrived(piece(b"recipe,"), piece(b"line\n"), END)) == b"recipe,line\n"


def test_a_file_that_stops_coming_is_given_up():
    """Where no piece comes in time the file is refused as too slow."""
    with pytest.raises(Refused) as refused:
        arrived(piece(b"recipe,"), seconds=0.05)
    assert refused.value.problem.status == 408


def test_a_caller_who_hangs_up_is_noticed():
    """Half a file is not taken for a whole one."""
    with pytest.raises(ClientDisconnect):
        arrived(piece(b"recipe,"), {"type": "http.disconnect"})


@pytest.mark.parametrize(
    ("kind", "is_read"),
    [
        ("text/csv", True),
        ("Text/CSV; charset=UTF-8; header=present", True),
        ('text/csv; charset="utf-8"', True),
        ("text/csv; charset=utf-16", False),
        ("text/plain", False),
        ("", False),
    ],
)
def test_a_file_is_read_by_what_it_is_said_to_be(kind, is_read):
    """The media type decides, in UTF-8 or not at all."""
    request = Request({"type": "http", "headers": [(b"content-type", kind.encode())]})
    if is_read:
        assert reader_of(request) is read_csv
    else:
        with pytest.raises(Refused):
            reader_of(request)
