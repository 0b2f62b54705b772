"""SVG as elements: built one by one, escaped by construction, written with short numbers.

What a drawing looks like is `service.drawings.ink`; this is only its grammar.
"""

from collections.abc import Iterable
from xml.etree.ElementTree import Element, tostring

Point = tuple[float, float]


def shape(tag: str, *children: Element, **attributes: str | float | None) -> Element:
    """Return an element; `stroke_width=2` is written stroke-width="2", None is left out."""
    element = Element(tag)
    for name, value in attributes.items():
        if value is not None:
            element.set(name.rstrip("_").replace("_", "-"), _written(value))
    element.extend(children)
    return element


def words(x: float, y: float, text: str, **attributes: str | float | None) -> Element:
    """Return a line of text that begins (or, by `text_anchor`, ends or centres) at x, y."""
    element = shape("text", x=x, y=y, **attributes)
    element.text = visible(text)
    return element


def path(points: Iterable[Point], *, closed: bool = False) -> str:
    """Return the path through `points`."""
    steps = " L".join(f"{number(x)} {number(y)}" for x, y in points)
    return f"M{steps}{' Z' if closed else ''}"


def drawing(
    box: tuple[float, float, float, float],
    title: str,
    description: str,
    *children: Element,
    **attributes: str | float | None,
) -> str:
    """Return a whole document that shows `box` (x, y, width, height) and reads out its title."""
    named = [shape("title"), shape("desc")]
    for element, text in zip(named, (title, description), strict=True):
        element.text = visible(text)
    root = shape(
        "svg",
        *named,
        *children,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=" ".join(map(number, box)),
        role="img",
        **attributes,
    )
    return tostring(root, encoding="unicode")


def number(value: float) -> str:
    """Return `value` to a thousandth, without trailing noughts."""
    short = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if short in {"-0", ""} else short


def visible(text: str) -> str:
    """Return `text` without the characters that XML forbids or that steer what stands around."""
    return "".join(c if c.isprintable() else " " for c in text)


def _written(value: str | float) -> str:
    return visible(value) if isinstance(value, str) else number(value)
