"""A trial as a file tells it: where, under which id, and the trial or what is wrong with it.

The files are `service.exchange.trial_files` and `service.exchange.trial_csv`.
"""

import json
from typing import Any, NamedTuple

from pydantic import ValidationError

from models.errors import BadInput
from models.trial import Trial


class Told(NamedTuple):
    """A trial as a file tells it: where, under which id, and the trial or what is wrong."""

    row: int
    identity: str | None
    kitchen_id: str | None
    trial: Trial | None
    fault: str = ""


def tell(number: int, identity: Any, kitchen_id: Any, content: dict[str, Any]) -> Told:
    """Return what a file tells, read as a trial."""
    identity, kitchen_id = (
        name if name is None or isinstance(name, str) else "?" for name in (identity, kitchen_id)
    )
    try:
        trial = Trial.model_validate_json(json.dumps(content))
    except ValidationError as invalid:
        return Told(number, identity, kitchen_id, None, str(BadInput.of(invalid))[:1000])
    except (ValueError, RecursionError):
        return Told(number, identity, kitchen_id, None, "holds what is no text and no number")
    return Told(number, identity, kitchen_id, trial)
