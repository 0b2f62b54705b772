"""A service to press upon, in processes of its own, and a client that costs little beside it."""

import asyncio
import json
import os
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from openapi_examples.cases import CASES

EXAMPLES = Path(__file__).parents[2] / "openapi_examples"


def load() -> str:
    """Return how busy the machine is, to stand beside a figure."""
    return "load " + " ".join(f"{each:.1f}" for each in os.getloadavg())


def recorded(*methods: str) -> list[dict[str, Any]]:
    """Return the recorded requests that are answered and store nothing, by their file's name."""
    alone, found = {case.name for case in CASES}, []
    for file in sorted(EXAMPLES.glob("*.json")):
        pair = json.loads(file.read_text())
        good = pair.get("response", {}).get("status") == 200 and "request" in pair
        if good and file.stem in alone - {"page"} and pair["request"]["method"] in methods:
            found.append({"name": file.stem, **pair["request"]})
    return found


def written(method: str, path: str, body: Any = None) -> bytes:
    """Return a request as it goes over the wire, on a connection that is kept."""
    content = b"" if body is None else json.dumps(body).encode()
    head = f"{method} {path} HTTP/1.1\r\nHost: bench\r\nAccept: application/json\r\n"
    if body is not None:
        head += f"Content-Type: application/json\r\nContent-Length: {len(content)}\r\n"
    return head.encode() + b"\r\n" + content


@contextmanager
def service(
    database: str, *arguments: str, environment: Mapping[str, str] | None = None
) -> Iterator[tuple[int, int]]:
    """Yield the port and the process of a service on `database`."""
    command = [sys.executable, "-m", "service", "serve", "--port", "0", "--run-processes", "0"]
    process = subprocess.Popen(
        [*command, "--database", database, *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        env={**os.environ, **(environment or {})},
    )
    assert process.stdout is not None
    try:
        line = process.stdout.readline()
        assert line, "the service did not start"
        yield int(line.strip().rsplit(":", 1)[1]), process.pid
    finally:
        process.terminate()
        process.wait(timeout=60)
        process.stdout.close()


class Line:
    """One connection, kept for as long as the service keeps it."""

    def __init__(self, port: int) -> None:
        self._port = port
        self._ends: tuple[asyncio.StreamReader, asyncio.StreamWriter] | None = None

    async def ask(self, request: bytes) -> tuple[int, dict[str, str], bytes]:
        """Return the status, the headers and the body of the answer."""
        if self._ends is None:
            self._ends = await asyncio.open_connection("127.0.0.1", self._port)
        reader, writer = self._ends
        try:
            writer.write(request)
            head = (await reader.readuntil(b"\r\n\r\n")).decode("latin-1")
            status, *lines = head.split("\r\n")
            headers = {k.lower(): v for k, _, v in (line.partition(": ") for line in lines if line)}
            body = await reader.readexactly(int(headers.get("content-length", "0")))
        except (OSError, asyncio.IncompleteReadError):
            self.close()
            raise
        if headers.get("connection") == "close":
            self.close()
        return int(status.split()[1]), headers, body

    def close(self) -> None:
        if self._ends is not None:
            self._ends[1].close()
            self._ends = None


@dataclass
class Told:
    """What came of a flood of requests."""

    statuses: Counter[int] = field(default_factory=Counter)
    without_retry: int = 0
    gone: int = 0
    seconds: float = 0.0

    def note(self, status: int, headers: dict[str, str]) -> None:
        self.statuses[status] += 1
        if status in {429, 503} and "retry-after" not in headers:
            self.without_retry += 1

    @property
    def goodput(self) -> float:
        """Answers of 200 a second."""
        return self.statuses[200] / self.seconds


async def keep_asking(port: int, requests: list[bytes], callers: int, seconds: float) -> Told:
    """Have so many callers each ask again once they are answered."""
    told, until = Told(seconds=seconds), time.monotonic() + seconds

    async def caller(at: int) -> None:
        line = Line(port)
        while time.monotonic() < until:
            status, headers, _ = await line.ask(requests[at % len(requests)])
            told.note(status, headers)
            at += callers
        line.close()

    await asyncio.gather(*(caller(at) for at in range(callers)))
    return told


async def press(port: int, requests: list[bytes], a_second: float, seconds: float) -> Told:
    """Send so many requests a second whether or not earlier ones are answered, each by somebody of
    their own."""
    told, began, asked = Told(seconds=seconds), time.monotonic(), set()

    async def one(at: int) -> None:
        line = Line(port)
        try:
            told.note(*(await line.ask(requests[at % len(requests)]))[:2])
        except (OSError, asyncio.IncompleteReadError):
            told.gone += 1
        finally:
            line.close()

    for at in range(int(a_second * seconds)):
        await asyncio.sleep(max(0.0, began + at / a_second - time.monotonic()))
        task = asyncio.create_task(one(at))
        asked.add(task)
        task.add_done_callback(asked.discard)
    await asyncio.gather(*asked)
    told.seconds = time.monotonic() - began
    return told


def memory_of(process: int) -> int:
    """Return the resident bytes of a process."""
    pages = int(Path(f"/proc/{process}/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE")
