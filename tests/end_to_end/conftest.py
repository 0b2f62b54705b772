"""A real server in a process of its own, spoken to over a real socket."""

import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest

HASTY = """
import sys
from service.serving import serve
from service.settings import Settings
settings = Settings(port=0, database_url=sys.argv[1], workers=2, body_seconds=1.0, idle_seconds=1,
                    max_connections=20)
serve(settings, lambda url: print(url, flush=True))
"""


class Server:
    """A running server: its process, its address, and plain ways to speak to it."""

    def __init__(self, process: "subprocess.Popen[str]", url: str, log: Path) -> None:
        self.process = process
        self.url = url
        self._log = log

    @property
    def log(self) -> str:
        return self._log.read_text()

    def connect(self) -> socket.socket:
        host, port = self.url.removeprefix("http://").split(":")
        return socket.create_connection((host, int(port)), timeout=30)

    def say(self, request: bytes) -> httpx.Response:
        """Send raw bytes and return the answer."""
        with self.connect() as connection:
            connection.sendall(request)
            return answer_on(connection)


def answer_on(connection: socket.socket) -> httpx.Response:
    """Return the answer that comes until the server hangs up, or until its length is reached."""
    received = b""
    while True:
        head, blank, body = received.partition(b"\r\n\r\n")
        if blank:
            status, *lines = head.decode("latin-1").split("\r\n")
            headers = [tuple(line.split(": ", 1)) for line in lines]
            length = next((int(v) for n, v in headers if n.lower() == "content-length"), None)
            if length is not None and len(body) >= length:
                return httpx.Response(int(status.split()[1]), headers=headers, content=body)
        chunk = connection.recv(65536)
        if not chunk:
            assert blank, f"hung up without an answer: {received!r}"
            plain = [(n, v) for n, v in headers if n.lower() != "transfer-encoding"]
            return httpx.Response(int(status.split()[1]), headers=plain, content=_unchunked(body))
        received += chunk


def _unchunked(body: bytes) -> bytes:
    if not body.split(b"\r\n")[0].strip().isalnum():
        return body
    content = b""
    while body:
        size, _, rest = body.partition(b"\r\n")
        content += rest[: int(size, 16)]
        body = rest[int(size, 16) + 2 :]
    return content


@contextmanager
def running(command: list[str], folder: Path) -> Iterator[Server]:
    """Yield the server that `command` starts, and stop it."""
    log = folder / "log"
    with log.open("w") as stderr:
        process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=stderr, text=True)
        try:
            line = process.stdout.readline()
            assert line, log.read_text()
            yield Server(process, line.split()[-1], log)
        finally:
            process.terminate()
            process.wait(timeout=60)
            process.stdout.close()


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A server as `python -m service serve` starts it."""
    folder = tmp_path_factory.mktemp("server")
    database = f"sqlite:///{folder}/formhold.sqlite3"
    command = [sys.executable, "-m", "service", "serve", "--port", "0", "--database", database]
    with running([*command, "--workers", "2"], folder) as started:
        yield started


@pytest.fixture(scope="session")
def hasty(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A server that waits one second for headers and bodies, and takes 20 connections."""
    folder = tmp_path_factory.mktemp("hasty")
    database = f"sqlite:///{folder}/formhold.sqlite3"
    with running([sys.executable, "-c", HASTY, database], folder) as started:
        yield started
