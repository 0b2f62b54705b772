"""Asking over HTTP: what answers may be something else, or another version, or busy."""

import threading
from http.server import BaseHTTPRequestHandler, HTTPServer

import pytest

from service.command_line.commands import main
from service.problems import BUSY


class Stranger(BaseHTTPRequestHandler):
    """Answers every request with what its server was given."""

    def do_GET(self):
        status, media_type, body = self.server.answer
        self.send_response(status)
        self.send_header("Content-Type", media_type)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_):
        pass


@pytest.fixture
def stranger():
    """A server of someone else's, on this machine."""
    with HTTPServer(("127.0.0.1", 0), Stranger) as server:
        server.url = f"http://127.0.0.1:{server.server_port}"
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield server
        server.shutdown()
        thread.join()


@pytest.mark.parametrize(
    ("answer", "says"),
    [
        ((200, "text/html", b"<html>"), "is not this service"),
        ((200, "application/json", b"{}"), "use the same version"),
        ((200, "application/json", b"<html>"), "use the same version"),
        ((503, "application/problem+json", b"[]"), "use the same version"),
        (
            (
                503,
                "application/problem+json",
                BUSY.problem("Try again.").model_dump_json().encode(),
            ),
            "The service is busy. Try again.",
        ),
    ],
)
def test_an_answer_that_is_none_ends_with_3(stranger, capsys, answer, says):
    """What is not this service's answer is said on standard error; nothing is printed."""
    stranger.answer = answer
    assert main(["ingredients", "ginger", "--url", stranger.url]) == 3
    out, err = capsys.readouterr()
    assert out == ""
    assert says in err
