"""Ten little pieces: a chance as people count it, with the band in which kitchens differ.

Part of a page, whose colours it takes. Broken pieces are those expected to crack, one may be half
broken; the band below is where four kitchens in five lie, and the flag is the limit.
"""

from xml.etree.ElementTree import tostring

from service.drawings.svg import shape

_ACROSS, _BASE = 30.0, 26.0


def draw_tens(percent: float, low: float, high: float, limit: float | None, told: str) -> str:
    """Return the picture as markup; `told` is what it says in words."""
    broken = min(10, max(0, round(percent / 10)))
    parts = [
        shape(
            "rect",
            class_="band",
            x=low * 3,
            y=_BASE + 2,
            width=max(3.0, (high - low) * 3),
            height=9,
        )
    ]
    for k in range(10):
        piece = "#whole" if k >= broken else "#broken"
        parts.append(shape("use", href=piece, x=k * _ACROSS + _ACROSS / 2, y=_BASE))
    parts.append(shape("path", class_="axis", d=f"M0 {_BASE:g}H300"))
    if limit is not None:
        x = limit * 3
        parts.append(shape("path", class_="lim", d=f"M{x:g} 3l8 4l-8 4M{x:g} 3V{_BASE + 12:g}"))
    named = shape("title")
    named.text = told
    return tostring(
        shape("svg", named, *parts, class_="tens", viewBox="-2 0 304 40", role="img"),
        encoding="unicode",
    )


_WHOLE = "M-11.5 0A11.5 11.5 0 0 1 11.5 0H7.5A7.5 7.5 0 0 0-7.5 0Z"
_BROKEN = (
    "M-12.6 0A11.5 11.5 0 0 1-3-11.2L-1.2-8.4L-2.8-7.2A7.6 7.6 0 0 0-8.6 0Z"
    "M12.6 0A11.5 11.5 0 0 0 2.2-11.6L3.4-9L2-7.4A7.6 7.6 0 0 1 8.6 0Z"
)

PIECES = (
    '<svg class="unseen" aria-hidden="true" focusable="false"><defs>'
    f'<path id="whole" class="ok" d="{_WHOLE}"/><path id="broken" class="no" d="{_BROKEN}"/>'
    "</defs></svg>"
)
"""The two pieces, to stand once in a page that shows tens."""
