"""Dawdlers and crowds: a real server lets go of those who only keep it waiting."""

import contextlib
import json
import time

from tests.end_to_end.conftest import answer_on
from tests.service.problem_checks import problem_in

POST = b"POST /v1/ratios HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"


def test_a_body_that_does_not_come_is_408(hasty):
    """A length that was promised and not kept ends in 408."""
    problem = problem_in(hasty.say(POST + b'Content-Length: 100\r\n\r\n{"recipe"'), 408)
    assert problem["type"] == "/problems/body-too-slow"


def test_a_body_that_drips_is_408(hasty):
    """A byte now and then does not stretch the time that a body has."""
    with hasty.connect() as connection:
        connection.sendall(POST + b"Content-Length: 100\r\n\r\n")
        for _ in range(6):
            connection.sendall(b" ")
            time.sleep(0.25)
        problem_in(answer_on(connection), 408)


def test_headers_that_drip_are_hung_up_on(hasty):
    """A connection that never completes its headers is closed."""
    with hasty.connect() as connection:
        began = time.monotonic()
        connection.sendall(b"GET / HTTP/1.1\r\n")
        for _ in range(6):
            time.sleep(0.25)
            try:
                connection.sendall(b"X: y\r\n")
            except OSError:
                break
        with contextlib.suppress(ConnectionResetError):
            assert connection.recv(1) == b""
        assert time.monotonic() - began < 10


def test_a_silent_connection_is_hung_up_on(hasty):
    """A connection that says nothing is closed."""
    with hasty.connect() as connection:
        assert connection.recv(1) == b""


def test_one_connection_too_many_is_503(hasty):
    """Beyond the limit of connections a request is told when to try again."""
    open_connections = [hasty.connect() for _ in range(20)]
    try:
        time.sleep(0.2)
        answer = hasty.say(b"GET /livez HTTP/1.1\r\nHost: x\r\n\r\n")
    finally:
        for connection in open_connections:
            connection.close()
    assert problem_in(answer, 503)["type"] == "/problems/busy"
    assert int(answer.headers["retry-after"]) > 0


def test_the_crowd_gone_all_is_well(hasty):
    """Once the crowd has left, the next request is answered."""
    time.sleep(0.2)
    assert hasty.say(b"GET /livez HTTP/1.1\r\nHost: x\r\n\r\n").status_code == 200


def test_a_caller_who_hangs_up_is_noted_and_nothing_fails(hasty):
    """A connection that ends within its body is logged as gone, not as a failure."""
    with hasty.connect() as connection:
        connection.sendall(POST + b"X-Request-Id: leaver\r\nContent-Length: 100\r\n\r\n{")
    for _ in range(50):
        if "leaver" in hasty.log:
            break
        time.sleep(0.1)
    [line] = [json.loads(line) for line in hasty.log.splitlines() if "leaver" in line]
    assert (line["event"], line["status"]) == ("request", 499)
    assert "Traceback" not in hasty.log
