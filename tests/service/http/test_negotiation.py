"""Negotiation: the picture only for a caller who would rather have it."""

import pytest

from service.http.negotiation import prefers_picture

BROWSER = "text/html,application/xhtml+xml,application/xml;q=0.9,image/avif,image/webp,*/*;q=0.8"


@pytest.mark.parametrize(
    "accept",
    [
        "image/svg+xml",
        "IMAGE/SVG+XML",
        "image/*",
        "image/svg+xml, application/json;q=0.9",
        "application/json;q=0.2, image/svg+xml;q=0.201",
        "*/*;q=0.1, image/svg+xml",
        "image/avif,image/webp,image/svg+xml,image/*,*/*;q=0.8",
        "application/json;q=0, */*",
        "image/svg+xml ; q=1.000",
    ],
)
def test_a_picture_where_it_is_more_welcome(accept):
    """SVG named more closely, or with a greater weight, than JSON."""
    assert prefers_picture(accept)


@pytest.mark.parametrize(
    "accept",
    [
        "",
        "*/*",
        "application/json",
        BROWSER,
        "application/json, image/svg+xml",
        "image/svg+xml;q=0.5, application/json;q=0.5",
        "image/svg+xml;q=0, */*",
        "image/svg+xml;q=2, application/json;q=0.1",
        "image/svg+xml;q=nan",
        "image/svg+xml;q=-1",
        "image/svg+xml;q=",
        "text/plain",
        ";;;,,,q=",
        "\x00, ☕/☕;q=½",
    ],
)
def test_json_where_it_is_as_welcome_or_nothing_is(accept):
    """A tie, an unreadable weight and a header of nonsense all mean JSON."""
    assert not prefers_picture(accept)
