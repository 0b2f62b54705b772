"""Beyond experience: what the page shows of a dough or a form of which no chance can be told.

There is the sheet as it is rolled, what is unusual, and the trade's steps in words; no figure.
"""

from typing import NamedTuple

from models.brief import Brief
from models.outcome import Outcome
from models.target import Target
from models.thickness import thickness_words
from service.drawings.course import Course
from service.drawings.hero import draw_as_rolled
from service.page.languages import Say
from service.page.ways import Change, steps_of
from service.page.words import named
from solver.mechanics.profile import profile
from solver.search.deadline import SecondsLeft

_SLIP_M = 1e-3  # any will do: a sheet that does not flow does not slide


class Beyond(NamedTuple):
    """What is unusual, the picture as rolled, and what the trade tries in turn."""

    unusual: tuple[str, ...]
    svg: str
    steps: tuple[Change, ...]


def beyond(say: Say, brief: Brief, outcome: Outcome, seconds_left: SecondsLeft) -> Beyond | None:
    """Return what is shown where the belief ends; None where it does not."""
    if brief.target is None or outcome.form is None or not outcome.form.outside_experience:
        return None
    title = say("In section: %(form)s, %(dimensions)s", **named(say, brief.target.form))
    thick = thickness_words(brief.target.thickness_mm)
    told = say("%(thickness)s thick, as rolled.", thickness=thick)
    drawn = draw_as_rolled(course_as_rolled(brief.target), title, told)
    return Beyond(outcome.form.outside_experience, drawn, steps_of(brief, outcome, seconds_left))


def course_as_rolled(target: Target) -> Course:
    """Return a sheet as it lies on its form before it bakes: nothing flows, nothing rises."""
    return Course(target, profile(target.form, target.thickness_mm, 0.0, _SLIP_M, 0.0))
