"""A notice: where the end of a run is to be told, and whether it was.

How it is signed and sent is `service.runs.notices`; the run is `models.run`.
"""

from typing import Annotated

from pydantic import StringConstraints

from models.catalogue import Identity
from models.value import Value
from models.written import Moment

Secret = Annotated[str, StringConstraints(pattern=r"^[\x21-\x7e]{16,200}$")]


class NewNotice(Value):
    """An address to be told once the run is over, and the secret that signs what it is told."""

    url: Annotated[str, StringConstraints(min_length=1, max_length=2000)]
    secret: Secret


class Notice(Value):
    """An address that is to be told, and how far that has come; the secret is never shown.

    Where it was answered with any status but 2xx it is tried again at `due_at`; null where it was
    delivered, or given up after eight tries.
    """

    run_id: Identity
    url: str
    tries: int
    answered: str | None
    due_at: Moment | None
    delivered_at: Moment | None
