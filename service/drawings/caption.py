"""The caption of a template: what it is, what to cut to, and a bar to check the print by."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple
from xml.etree.ElementTree import Element

from service.drawings.ink import BOOKISH, INK, PLAIN
from service.drawings.lettering import wrapped
from service.drawings.pages import PageSize
from service.drawings.svg import shape, words

BAR_MM = 100
"""Long enough to show a print that is half a per cent off."""

TITLE, BODY, SMALL = 5.2, 3.5, 2.9
"""Sizes of lettering [mm]."""

_WIDTH = 125.0
_LINE = 1.35  # from line to line, in sizes of lettering
_BAR_ROOM = 14.0


class Caption(NamedTuple):
    """A title and lines below it, broken to a fixed width, with the bar at their foot."""

    title: tuple[str, ...]
    lines: tuple[str, ...]
    advice: str

    @classmethod
    def of(cls, title: str, sentences: Iterable[str], advice: str) -> "Caption":
        """Break a title and sentences into lines; `advice` stands under the bar."""
        broken = (line for text in sentences for line in wrapped(text, BODY, _WIDTH))
        return cls(tuple(wrapped(title, TITLE, _WIDTH)), tuple(broken), advice)

    @property
    def size(self) -> PageSize:
        """How much room it takes."""
        text = (len(self.title) * TITLE + len(self.lines) * BODY) * _LINE
        return PageSize(_WIDTH, text + _BAR_ROOM)

    def draw(self, x: float, y: float) -> Iterator[Element]:
        """Yield its elements, with the upper left corner at x, y; nothing shows through them."""
        yield shape("rect", x=x, y=y, width=_WIDTH, height=self.size.height, fill="white")
        for line in self.title:
            y += TITLE * _LINE
            yield words(x, y - 1.6, line, font_size=TITLE, font_family=BOOKISH, fill=INK)
        y += 1
        for line in self.lines:
            y += BODY * _LINE
            yield words(x, y - 1.0, line, font_size=BODY, font_family=PLAIN, fill=INK)
        yield from _scale_bar(x, y + 4)
        yield words(
            x, y + _BAR_ROOM - 2.5, self.advice, font_size=SMALL, font_family=PLAIN, fill=INK
        )


def _scale_bar(x: float, y: float) -> Iterator[Element]:
    """A ruler of black and white centimetres, its length written at its end."""
    yield shape(
        "rect", x=x, y=y, width=BAR_MM, height=2, fill="white", stroke=INK, stroke_width=0.2
    )
    for centimetre in range(0, BAR_MM, 20):
        yield shape("rect", x=x + centimetre, y=y, width=10, height=2, fill=INK)
    length = f"{BAR_MM} mm"
    yield words(x + BAR_MM + 2, y + 2.1, length, font_size=SMALL, font_family=PLAIN, fill=INK)
