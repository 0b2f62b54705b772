"""Bodies as they arrive: plain JSON, not too large; slow ones are tried end to end."""

from collections.abc import AsyncIterator

import pytest

from tests.service.problem_checks import problem_in

FLOUR = b'{"recipe": {"lines": [{"text": "2 cups all-purpose flour"}]}}'


@pytest.mark.parametrize(
    "media_type",
    [
        "application/json",
        "application/json; charset=utf-8",
        'Application/JSON;charset="UTF-8"',
        "application/json;",
    ],
)
def test_json_in_utf_8_is_taken(client, media_type):
    """JSON is taken with or without its character set named."""
    answer = client.post("/v1/ratios", content=FLOUR, headers={"Content-Type": media_type})
    assert answer.status_code == 200


@pytest.mark.parametrize(
    "media_type",
    [
        "",
        "text/plain",
        "application/json; charset=utf-16",
        "application/json; charset=latin-1",
        "application/x-www-form-urlencoded",
        "multipart/form-data; boundary=x",
        "application/jsonp",
    ],
)
def test_any_other_media_type_is_refused(client, media_type):
    """Anything but JSON in UTF-8 is 415, whatever the bytes are."""
    answer = client.post("/v1/ratios", content=FLOUR, headers={"Content-Type": media_type})
    assert problem_in(answer, 415)["type"] == "/problems/unsupported-body"


@pytest.mark.parametrize("coding", ["gzip", "br", "deflate", "identity, gzip", "nonsense"])
def test_a_coded_body_is_refused(client, coding):
    """A compressed body is 415 before a byte of it is unpacked."""
    headers = {"Content-Type": "application/json", "Content-Encoding": coding}
    problem_in(client.post("/v1/ratios", content=FLOUR, headers=headers), 415)


def test_identity_is_no_coding(client):
    """Content-Encoding: identity says that nothing was done."""
    headers = {"Content-Type": "application/json", "Content-Encoding": "identity"}
    assert client.post("/v1/ratios", content=FLOUR, headers=headers).status_code == 200


@pytest.mark.parametrize("size", [1_000_001, 20_000_000])
def test_a_body_that_says_it_is_too_large_is_refused(client, size):
    """More than a megabyte is 413."""
    headers = {"Content-Type": "application/json"}
    answer = client.post("/v1/ratios", content=b" " * size, headers=headers)
    assert problem_in(answer, 413)["type"] == "/problems/body-too-large"


def test_a_body_of_unknown_length_is_counted_as_it_comes(client):
    """A body that names no length is cut off once it is too large."""

    async def endless() -> AsyncIterator[bytes]:
        for _ in range(1000):
            yield b" " * 10_000

    headers = {"Content-Type": "application/json"}
    problem_in(client.post("/v1/ratios", content=endless(), headers=headers), 413)


def test_a_megabyte_is_not_too_large(client):
    """Exactly a megabyte is read."""
    body = FLOUR + b" " * (1_000_000 - len(FLOUR))
    answer = client.post("/v1/ratios", content=body, headers={"Content-Type": "application/json"})
    assert answer.status_code == 200
