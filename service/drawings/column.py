"""A column: lettering and pictures set one under another within a width."""

from collections.abc import Iterable
from xml.etree.ElementTree import Element

from service.drawings.ink import INK, PLAIN
from service.drawings.lettering import wrapped
from service.drawings.svg import words

LINE = 1.32
"""From line to line, in sizes of lettering."""


class Column:
    """What has been set so far; `y` is where the next thing begins."""

    def __init__(self, x: float, y: float, width: float) -> None:
        """Begin at the upper left corner."""
        self.x, self.y, self.width = x, y, width
        self.elements: list[Element] = []

    def write(self, text: str, size: float, font: str = PLAIN, fill: str = INK) -> None:
        """Set words in as many lines as they need."""
        style = {"font_family": font, "fill": fill}
        for line in wrapped(text, size, self.width):
            self.y += size * LINE
            foot = self.y - size * 0.34
            self.elements.append(words(self.x, foot, line, font_size=size, **style))

    def place(self, elements: Iterable[Element], height: float) -> None:
        """Set a picture that was drawn at x, y and takes up `height`."""
        self.elements.extend(elements)
        self.y += height

    def skip(self, height: float) -> None:
        """Leave room."""
        self.y += height
