"""Recipe files: text with one ingredient a line, or JSON; into the members of a request."""

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from models.errors import BadInput, FormholdError
from service.reading.sources import NumberedLine, lines_of
from service.reading.strict_json import read_json

TITLE_MARK = "# "


class UnreadableFile(Exception):
    """A file that is missing, or is no recipe; its text says what to do."""


@dataclass(frozen=True)
class RecipeFile:
    """A request as a file holds it, and where each line of the recipe stands in a text file."""

    name: str
    request: dict[str, Any]
    lines: tuple[NumberedLine, ...] = ()


def read_recipe_file(path: str) -> RecipeFile:
    """Return the request in the file at `path`; raise UnreadableFile."""
    name = "standard input" if path == "-" else path
    body = _bytes_of(path)
    if path.endswith(".json") or body.lstrip().startswith(b"{"):
        return RecipeFile(name, _request_in(body, name))
    try:
        text = body.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UnreadableFile(f"{name} is not UTF-8 text; save it as UTF-8.") from None
    return _from_text(name, text)


def _bytes_of(path: str) -> bytes:
    try:
        return sys.stdin.buffer.read() if path == "-" else Path(path).read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise UnreadableFile(f"{path} cannot be read: {reason}.") from None


def _request_in(body: bytes, name: str) -> dict[str, Any]:
    try:
        content, odd = read_json(body)
        if odd:
            raise BadInput(odd)
    except FormholdError as error:
        raise UnreadableFile(f"{name} is not plain JSON: {error}") from None
    if isinstance(content, dict) and "recipe" in content:
        return content
    if isinstance(content, dict) and "lines" in content:
        return {"recipe": content}
    raise UnreadableFile(f"{name} holds neither a recipe (with lines) nor a request (with recipe).")


def _from_text(name: str, text: str) -> RecipeFile:
    written = list(lines_of(text))
    titles = [line.text.removeprefix(TITLE_MARK) for line in written if _is_title(line)]
    if len(titles) > 1:
        raise UnreadableFile(f'{name} has {len(titles)} lines that begin with "# "; keep one.')
    lines = tuple(line for line in written if not _is_title(line))
    if not lines:
        raise UnreadableFile(f"{name} has no ingredients; write one a line.")
    recipe: dict[str, Any] = {"lines": [{"text": line.text} for line in lines]}
    if titles:
        recipe = {"title": titles[0].strip(), **recipe}
    return RecipeFile(name, {"recipe": recipe}, lines)


def _is_title(line: NumberedLine) -> bool:
    return line.text.startswith(TITLE_MARK)
