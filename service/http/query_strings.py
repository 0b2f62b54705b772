"""What stands after the question mark of an address; strangers and repeats are refused."""

from collections import Counter
from collections.abc import Iterable

from fastapi import Request

from models.errors import BadInput, Fault, pointer


async def no_query(request: Request) -> None:
    """Refuse any query; raise BadInput naming its members."""
    _refuse(request.query_params, "is not known here; this address takes no query")


async def each_once(request: Request) -> None:
    """Refuse a query that names a member twice; raise BadInput."""
    given = Counter(name for name, _ in request.query_params.multi_items())
    twice = [name for name, count in given.items() if count > 1]
    _refuse(twice, "is given twice; give it once")


def _refuse(names: Iterable[str], message: str) -> None:
    faults = [Fault(pointer=pointer(("query", name)), message=message) for name in names]
    if faults:
        raise BadInput(faults)
