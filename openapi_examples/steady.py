"""What differs from one recording to the next, written the same in all: names, moments, speeds.

Everything else of an answer is the service's own, to the byte.
"""

import re
from typing import Any

MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{1,6}(Z|\+00:00)")
A_MOMENT = "2026-11-09T08:00:00Z"
"""Moments that callers send have no fractions of a second; those of the service have."""
IDENTITY = re.compile(r"\b(cat|rec|run|kit|trial)_[0-9a-hjkmnp-tv-z]{26}\b")
SPEED = re.compile(r'"recipes_per_second": ?[0-9.e+-]+')
A_SPEED = '"recipes_per_second":50.0'
WAIT = re.compile(r"please wait \d+ s")
A_WAIT = "please wait 60 s"
MEASURED = re.compile(r"(?m)^((?:process|formhold)_\S+(?:\{.*\})?) \S+$")
VOLATILE_HEADERS = {"x-request-id", "content-length", "date", "server"}


class Names:
    """Names of what is stored, numbered in the order in which they were met."""

    def __init__(self) -> None:
        """Begin with none."""
        self._given: dict[str, str] = {}

    def steady(self, text: str) -> str:
        """Return `text` as any other recording would have it."""
        text = IDENTITY.sub(self._named, MOMENT.sub(A_MOMENT, text))
        text = WAIT.sub(A_WAIT, SPEED.sub(A_SPEED, text))
        return MEASURED.sub(r"\1 0.0", text)

    def headers(self, headers: Any, status: int) -> dict[str, str]:
        """Return an answer's `headers`, those left out that no two answers share."""
        kept = {k: self.steady(v) for k, v in headers.items() if k not in VOLATILE_HEADERS}
        if status == 429:
            kept["retry-after"] = "60"
        return kept

    def _named(self, found: re.Match[str]) -> str:
        kind, number = found[1], len(self._given) + 1
        return self._given.setdefault(found[0], f"{kind}_{number:026}")
