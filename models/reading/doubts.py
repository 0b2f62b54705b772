"""What is said of a line that leaves room: a doubt beside its reading, or a refusal to read it.

How lines are read is `models.reading` and its neighbours; which of several doubts comes first is
decided here.
"""

from collections.abc import Iterable

from models.value import Value

SEVERITY = (
    "unknown_food",
    "nearest_food",
    "spelling",
    "words",
    "several",
    "vague",
    "alternative",
    "number",
    "disagreement",
    "each",
    "range",
    "size",
    "ounce",
    "filling",
    "about",
    "extra",
    "to_taste",
    "pinch",
    "optional",
)
"""The codes of doubt, those that may move the amount furthest first."""


class Uncertain(Value):
    """A line was read, but not without doubt: what was taken, and how to write it plainly."""

    code: str
    message: str

    @classmethod
    def of(cls, code: str, message: str) -> "Uncertain":
        """Return the doubt called `code`, one of `SEVERITY`."""
        return cls(code=code, message=message)


class UnreadableLine(ValueError):
    """A line that cannot be read; its text says what was seen, what is expected and what to do.

    `rest` is the part that could not be read, `suggestions` the ingredients it may have meant.
    """

    def __init__(self, message: str, rest: str = "", suggestions: tuple[str, ...] = ()) -> None:
        """Keep the message, the part at fault and the near misses."""
        super().__init__(message)
        self.rest = rest
        self.suggestions = suggestions


def gravest(doubts: Iterable[Uncertain]) -> Uncertain | None:
    """Return all doubts as one, under the code of the gravest; None for none."""
    ordered = sorted(doubts, key=lambda doubt: SEVERITY.index(doubt.code))
    if not ordered:
        return None
    messages = dict.fromkeys(doubt.message for doubt in ordered)
    return Uncertain.of(ordered[0].code, " ".join(messages))


def quoted(text: str) -> str:
    """Return `text` in quotation marks as it may be shown: one line, printable, not too long."""
    shown = " ".join("".join(c if c.isprintable() else " " for c in text[:200]).split())
    return f'"{shown[:77]}…"' if len(shown) > 80 else f'"{shown}"'
