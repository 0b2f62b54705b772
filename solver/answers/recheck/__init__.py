"""The re-check: an answer judged by plain exact arithmetic, from its own words.

It reads the measures of the answer as a baker would, weighs them again as fractions, and holds the
result against the brief: what may be scooped, what may move and how far, every bound, every number
that is shown. It knows nothing of the search that found the answer nor of the search's judge, and
must not.
"""

from models.brief import Brief
from models.errors import RecheckFailed
from models.outcome import Outcome
from solver.answers.recheck.promises import Promises
from solver.answers.recheck.words import UnreadableMeasure


def recheck(brief: Brief, outcome: Outcome) -> Outcome:
    """Return `outcome` if it keeps every promise to `brief`; raise RecheckFailed if not."""
    try:
        broken = list(Promises(brief, outcome).faults())
    except (UnreadableMeasure, ValueError, ArithmeticError) as unreadable:
        broken = [str(unreadable)]
    if broken:
        raise RecheckFailed("; ".join(broken))
    return outcome
