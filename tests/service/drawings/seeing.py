"""What is seen of a drawing: its words and where they stand, read back from the SVG."""

from typing import NamedTuple
from xml.etree import ElementTree

from service.drawings.lettering import width_of

SVG = "{http://www.w3.org/2000/svg}"


class Words(NamedTuple):
    """A line of text as it is set, and the rectangle that it takes up at the widest."""

    text: str
    left: float
    top: float
    right: float
    bottom: float

    def crosses(self, other: "Words") -> bool:
        """Tell whether two lines of text share any room."""
        return min(self.right, other.right) > max(self.left, other.left) and min(
            self.bottom, other.bottom
        ) > max(self.top, other.top)


def read(svg: str) -> ElementTree.Element:
    """Return the root of a drawing, which must be well-formed XML."""
    root = ElementTree.fromstring(svg)
    assert root.tag == f"{SVG}svg"
    return root


def box(root: ElementTree.Element) -> list[float]:
    """Return the viewBox: x, y, width, height."""
    return [float(side) for side in root.get("viewBox", "").split()]


def level_words(root: ElementTree.Element) -> list[Words]:
    """Return every line of text that is not turned."""
    return [_seen(text) for text in root.iter(f"{SVG}text") if text.get("transform") is None]


def _seen(text: ElementTree.Element) -> Words:
    size, written = float(text.get("font-size")), text.text or ""
    width = width_of(written, size)
    before = {"end": width, "middle": width / 2}.get(text.get("text-anchor"), 0.0)
    left, foot = float(text.get("x")) - before, float(text.get("y"))
    return Words(written, left, foot - 0.72 * size, left + width, foot + 0.2 * size)


def all_words(svg: str) -> str:
    """Return every word of a drawing, in order, in one line."""
    return " ".join(text.text or "" for text in read(svg).iter(f"{SVG}text"))


def speaks_for_itself(svg: str) -> None:
    """Assert what every drawing owes: a title, a description, and nothing from elsewhere."""
    root = read(svg)
    assert root.get("role") == "img"
    for part in ("title", "desc"):
        assert root.find(f"{SVG}{part}").text.strip()
    for element in root.iter():
        assert element.tag.removeprefix(SVG) not in {"script", "image", "foreignObject", "a", "use"}
        for name, value in element.attrib.items():
            assert not name.startswith("on")
            assert "href" not in name
            assert "url(" not in value or value.startswith("url(#")
            assert "nan" not in value and "inf" not in value
