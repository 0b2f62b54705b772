"""Bytes into a value, strictly: what is not JSON is refused, what is JSON but odd is a fault.

JSON allows what no brief means: a member given twice, a number beyond every number, half of a
surrogate pair. Each is reported where it stands, together with the faults that the value's own
definition finds. How bytes arrive over HTTP is `service.http.bodies`.
"""

import json
import math
from codecs import BOM_UTF8
from collections import Counter
from collections.abc import Iterator
from typing import Any, NoReturn, TypeVar

from pydantic import ValidationError

from models.errors import BadInput, Fault, pointer
from models.value import Value
from service.problems import NESTED_TOO_DEEP, NOT_JSON, Refused
from service.reading.further_faults import further_faults

MAX_DEPTH = 32
MAX_VALUES = 10_000
"""Twice what the largest honest request holds; faults are found value by value, and take time."""
MAX_FLOAT_DIGITS = 308
"""A longer whole number is beyond every float; it is not worth reckoning exactly."""
MOST_MENDED = 100
"""With more faults than that, a body is none that a hand has misspelt."""

Asked = TypeVar("Asked", bound=Value)


def understand(body: bytes, model: type[Asked], most_values: int = MAX_VALUES) -> Asked:
    """Return the value that `body` holds; raise Refused, or BadInput with all its faults."""
    content, odd = read_json(body, most_values)
    if odd:
        # Written out anew, so that every other fault is found too: halves of pairs would stop it.
        body = json.dumps(content, ensure_ascii=False).encode(errors="replace")
    try:
        value = model.model_validate_json(body.removeprefix(BOM_UTF8))
    except ValidationError as invalid:
        seen = {fault.pointer for fault in odd}
        odd += [fault for fault in BadInput.of(invalid).faults if fault.pointer not in seen]
        if len(odd) <= MOST_MENDED:
            odd += further_faults(content, [fault.pointer for fault in odd], model)
        raise BadInput(odd) from None
    if odd:
        raise BadInput(odd)
    return value


def read_json(body: bytes, most_values: int = MAX_VALUES) -> tuple[Any, list[Fault]]:
    """Return what `body` holds and what is odd about it.

    Raises Refused where it is not JSON or nested too deep, BadInput where it holds far too much.
    """
    content = _parse(_decode(body))
    return content, list(_oddities(content, most_values))


def _decode(body: bytes) -> str:
    try:
        return body.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        raise Refused(NOT_JSON, f"Byte {wrong.start} is not UTF-8; send UTF-8.") from None


class _Object(dict[str, Any]):
    """A JSON object that remembers which of its members were given twice."""

    twice: tuple[str, ...] = ()


def _parse(text: str) -> Any:
    try:
        return json.loads(
            text, object_pairs_hook=_object, parse_int=_whole, parse_constant=_refuse_constant
        )
    except json.JSONDecodeError as wrong:
        seen = f"{wrong.msg} at line {wrong.lineno}, column {wrong.colno}"
        raise Refused(NOT_JSON, f"{seen}; send one JSON object.") from None
    except RecursionError:
        raise _too_deep() from None


def _object(pairs: list[tuple[str, Any]]) -> _Object:
    members = _Object(pairs)
    if len(members) < len(pairs):
        counts = Counter(name for name, _ in pairs)
        members.twice = tuple(name for name, count in counts.items() if count > 1)
    return members


def _whole(digits: str) -> int | float:
    return int(digits) if len(digits) <= MAX_FLOAT_DIGITS else float(digits)


def _refuse_constant(name: str) -> NoReturn:
    raise Refused(NOT_JSON, f"{name} is no JSON number; leave the member out or give a number.")


def _oddities(content: Any, most_values: int) -> Iterator[Fault]:
    """Yield the faults of any JSON, in its order; raise Refused where it is nested too deep, or
    BadInput where it holds too much to be judged value by value."""
    waiting: list[tuple[Any, tuple[int | str, ...]]] = [(content, ())]
    seen = 0
    while waiting:
        value, where = waiting.pop()
        seen += 1
        if seen > most_values:
            message = f"holds more than {most_values:,} values; no request here has as many"
            raise BadInput([_fault((), message)])
        if isinstance(value, str) and not _is_text(value):
            yield _fault(where, "holds half of a surrogate pair, which is no character")
        elif isinstance(value, float) and math.isinf(value):
            yield _fault(where, "is beyond every number this service can hold; give a smaller one")
        elif isinstance(value, _Object):
            yield from _member_oddities(value, where)
            waiting += [(value[name], (*where, name)) for name in reversed(value)]
        elif isinstance(value, list):
            waiting += [(value[i], (*where, i)) for i in reversed(range(len(value)))]
        if len(where) >= MAX_DEPTH and isinstance(value, dict | list):
            raise _too_deep()


def _member_oddities(members: _Object, where: tuple[int | str, ...]) -> Iterator[Fault]:
    for name in members.twice:
        yield _fault((*where, name), "is given twice; give it once")
    for name in members:
        if not _is_text(name):
            yield _fault((*where, name), "has half of a surrogate pair in its name")


def _is_text(characters: str) -> bool:
    try:
        characters.encode()
    except UnicodeEncodeError:
        return False
    return True


def _fault(where: tuple[int | str, ...], message: str) -> Fault:
    shown = pointer(where).encode(errors="replace").decode()
    return Fault(pointer=shown, message=message)


def _too_deep() -> Refused:
    return Refused(NESTED_TOO_DEEP, f"Objects and arrays may be nested {MAX_DEPTH} deep.")
