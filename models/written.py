"""What people wrote and we keep: words that a store can hold, and values shown as they were stored.

A stored value was checked when it came in. It is shown as it was written then, never read anew: an
ingredient renamed since must not make an old recipe unreadable.
"""

from typing import Annotated, Any, TypeAlias

from pydantic import (
    AfterValidator,
    AwareDatetime,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    JsonValue,
    StringConstraints,
)
from pydantic_core import CoreSchema

from models.value import Legible, Value


def _can_be_kept(words: str) -> str:
    if "\0" in words:
        raise ValueError("holds the character NUL, which cannot be kept; leave it out")
    return words


Words = Annotated[str, AfterValidator(_can_be_kept)]
"""A text that every database can hold."""

Label = Annotated[Legible, StringConstraints(min_length=1, max_length=300)]
"""What a person calls something."""

Moment: TypeAlias = AwareDatetime
"""A moment with its zone, as RFC 3339 writes it."""


class AsWritten:
    """Marks JSON that was a good `kind` when it was stored; callers see it described as one."""

    def __init__(self, kind: type[Value]) -> None:
        """Take the word of whoever stored it."""
        self.kind = kind

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return handler(dict[str, JsonValue])

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return handler(self.kind.__pydantic_core_schema__)
