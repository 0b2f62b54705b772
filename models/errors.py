"""What can go wrong, as a tree, and every fault of a request with a pointer to where it stands.

A verdict (an infeasible brief) is an outcome, not an error; errors are for input that cannot be
understood and for answers that cannot be trusted.

    FormholdError
    ├── BadInput        the caller can mend it: all faults of one request together
    ├── RecheckFailed   the answer did not survive exact arithmetic, so it is not given
    └── SolverFailed    the solver neither solved nor gave up
"""

from collections.abc import Iterable
from typing import Any

from pydantic import ValidationError
from pydantic_core import InitErrorDetails, PydanticCustomError

from models.value import Value


class Fault(Value):
    """One fault of a request: a JSON pointer (RFC 6901) into it, and what to do."""

    pointer: str
    message: str


class FormholdError(Exception):
    """Anything this library raises on purpose."""


class BadInput(FormholdError):
    """A request that cannot be answered as it stands."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        """Keep every fault."""
        self.faults = tuple(faults)
        super().__init__("; ".join(f"{fault.pointer}: {fault.message}" for fault in self.faults))

    @classmethod
    def of(cls, error: ValidationError) -> "BadInput":
        """Return the faults that a failed validation found, in the caller's terms."""
        items: list[Any] = list(error.errors(include_url=False, include_input=False))
        return cls(
            Fault(pointer=pointer(item["loc"]), message=message_of(item))
            for item in items
            if not _says_nothing_new(item, items)
        )


class RecheckFailed(FormholdError):
    """An answer that breaks its own brief in exact arithmetic."""


class SolverFailed(FormholdError):
    """The solver ended in a state that is no answer."""


def refusal(faults: Iterable[tuple[tuple[int | str, ...], str]]) -> ValidationError:
    """Return an error that a validator raises to report several faults of its value at once.

    Each fault is where it stands within the value, and its message.
    """
    return ValidationError.from_exception_data(
        "refused",
        [
            InitErrorDetails(
                type=PydanticCustomError("refused", "{message}", {"message": message}),
                loc=where,
                input=None,
            )
            for where, message in faults
        ],
    )


UNION_TAG_MARK = "~"
"""Opens the tag of a union's variant, which is ours and not a member of the caller's request."""


def pointer(location: Iterable[int | str]) -> str:
    """Return a JSON pointer (RFC 6901) for a location in a request."""
    return "".join(
        "/" + str(step).replace("~", "~0").replace("/", "~1")
        for step in location
        if not (isinstance(step, str) and step.startswith(UNION_TAG_MARK)) and step != "[key]"
    )


_MESSAGES = {
    "missing": "is missing; please give it",
    "extra_forbidden": "is not known here; please leave it out or check its spelling",
    "finite_number": "must be a finite number",
    "model_type": "must be a JSON object",
    "model_attributes_type": "must be a JSON object",
    "dict_type": "must be a JSON object",
    "tuple_type": "must be a JSON array",
    "float_type": "must be a number",
    "int_type": "must be a whole number",
    "string_type": "must be a string",
    "json_invalid": "is not JSON",
}
_OPENINGS = ("Input should", "String should", "Tuple should", "Dictionary should")


def message_of(item: Any) -> str:
    """Return what a fault found by pydantic says to the caller."""
    kind, message = item["type"], str(item["msg"])
    if kind == "value_error":
        return str(item["ctx"]["error"])
    for opening in _OPENINGS:
        message = message.replace(opening, "must")
    return _MESSAGES.get(kind, message.replace(" after validation", ""))


def _says_nothing_new(item: Any, all_items: list[Any]) -> bool:
    """Tell whether a list is called too short only because its members are at fault."""
    where = item["loc"]
    return item["type"] == "too_short" and any(
        other["loc"][: len(where)] == where and len(other["loc"]) > len(where)
        for other in all_items
    )
