"""Lines of a file of any size, as its bytes arrive; no line may fill the memory."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

MOST_BYTES = 1_000_000
"""What one line, row or recipe of a catalogue may have."""


class ByteLine(NamedTuple):
    """A line with its end, and its number counted from 1; empty where it was too long to keep."""

    number: int
    content: bytes
    too_long: bool = False


def byte_lines(chunks: Iterable[bytes]) -> Iterator[ByteLine]:
    """Yield every line of `chunks`."""
    number, kept, too_long = 1, bytearray(), False
    for chunk in chunks:
        for piece in _pieces(chunk):
            if len(kept) + len(piece) > MOST_BYTES:
                too_long = True
                kept.clear()
            if not too_long:
                kept += piece
            if piece.endswith(b"\n"):
                yield ByteLine(number, bytes(kept), too_long)
                number, too_long = number + 1, False
                kept.clear()
    if kept or too_long:
        yield ByteLine(number, bytes(kept), too_long)


def _pieces(chunk: bytes) -> Iterator[bytes]:
    """Yield `chunk` cut after every line feed, and nowhere else."""
    start = 0
    while (end := chunk.find(b"\n", start)) >= 0:
        yield chunk[start : end + 1]
        start = end + 1
    if start < len(chunk):
        yield chunk[start:]
