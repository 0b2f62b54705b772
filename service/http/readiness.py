"""A rehearsal: one tiny brief solved through the pool, so that "ready" means it has been seen."""

import asyncio
import logging

from service.http.wiring import Wiring
from service.questions.question import REFORMULATION

log = logging.getLogger("formhold.service")

_BRIEF = b"""{
  "recipe": {"lines": [
    {"ingredient": "all-purpose flour", "quantity": 2, "unit": "cup"},
    {"ingredient": "unsalted butter", "quantity": 150, "unit": "g"}]},
  "window": {"flour_to_fat": {"min": 2}}}"""


async def rehearse(wired: Wiring) -> None:
    """Solve a brief that has an answer, and remember whether it worked."""
    try:
        answer = await wired.pool.run(lambda left: REFORMULATION.respond(_BRIEF, left), _nobody())
    except Exception:  # whatever it was: the service lives on to say that it is not ready
        log.exception("the rehearsal failed; the service is not ready")
        return
    wired.can_solve = b'"outcome":"reformulated"' in answer


async def _nobody() -> None:
    """Never hang up."""
    await asyncio.Event().wait()
