"""Negotiation: whether a caller would rather have a picture, or a page, than JSON.

By the Accept header (RFC 9110, 12.5.1): the range that names a media type most closely counts, and
JSON is sent where both are as welcome, or neither; at the front door alone the page is.
"""

import re
from collections.abc import Iterator

JSON = "application/json"
SVG = "image/svg+xml"
HTML = "text/html"

_WEIGHT = re.compile(r"[01](\.\d{0,3})?", re.ASCII)


def prefers_picture(accept: str) -> bool:
    """Tell whether `accept` would rather have SVG than JSON."""
    ranges = dict(_ranges(accept))
    return _welcome(SVG, ranges) > _welcome(JSON, ranges)


def prefers_page(accept: str) -> bool:
    """Tell whether `accept` has a page as gladly as JSON; who says nothing takes what is there."""
    ranges = dict(_ranges(accept or "*/*"))
    return _welcome(HTML, ranges) >= max(_welcome(JSON, ranges), 0.001)


def _welcome(media_type: str, ranges: dict[str, float]) -> float:
    kind = media_type.partition("/")[0]
    return next((ranges[r] for r in (media_type, f"{kind}/*", "*/*") if r in ranges), 0.0)


def _ranges(accept: str) -> Iterator[tuple[str, float]]:
    """Yield each media range and its weight; one whose weight cannot be read is not welcome."""
    for part in accept.lower().split(","):
        media_range, *parameters = (piece.strip() for piece in part.split(";"))
        weight = next((p.removeprefix("q=") for p in parameters if p.startswith("q=")), "1")
        yield media_range, _weight(weight)


def _weight(written: str) -> float:
    return min(1.0, float(written)) if _WEIGHT.fullmatch(written) else 0.0
