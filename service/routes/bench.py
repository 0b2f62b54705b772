"""At the bench: the form that logs a tray, where the code on a bake sheet leads."""

from dataclasses import replace

from fastapi import APIRouter, Request, Response
from starlette.concurrency import run_in_threadpool

from models.errors import BadInput
from models.next_bake import NextBake, NextBakeRequest
from models.target import Target
from models.trial import StoredTrial, Trial
from service.http.bodies import receive_body
from service.http.callers import CallerId
from service.http.storing import StoredName
from service.http.wiring import Wiring, wiring
from service.page.fields import Fields
from service.page.logging_page import LoggingPage, fields_of_last, trial_of
from service.page.rendering import render_logging
from service.questions.knowing import known_of
from service.questions.lessons import lessons_of
from service.questions.next_bakes import next_bake
from service.routes.home import FORM
from service.store import trials
from service.store.kitchens import find_kitchen

router = APIRouter(prefix="/kitchens", include_in_schema=False)


@router.get("/{kitchen_id}/log")
def get_log(request: Request, kitchen_id: StoredName, caller: CallerId) -> Response:
    """Answer the form, begun with what the address says, else with the dough baked last."""
    with wiring(request).database.reading() as connection:
        kitchen = find_kitchen(connection, caller, kitchen_id)
        last: StoredTrial | None = None
        for stored in trials.each_trial(connection, caller, kitchen_id):
            last = stored
    typed = request.url.query or fields_of_last(last)
    return render_logging(LoggingPage(kitchen_id, kitchen.name, Fields.read(typed.encode())))


@router.post("/{kitchen_id}/log")
async def post_log(request: Request, kitchen_id: StoredName, caller: CallerId) -> Response:
    """Keep the tray that was typed, and answer what it taught and what to bake next."""
    parts = wiring(request)
    fields = Fields.read(await receive_body(request, parts.settings, FORM))
    return await run_in_threadpool(_log, parts, caller, kitchen_id, fields)


def _log(parts: Wiring, caller: str, kitchen_id: str, fields: Fields) -> Response:
    with parts.database.writing() as connection:
        kitchen = find_kitchen(connection, caller, kitchen_id, hold=True)
        page = LoggingPage(kitchen_id, kitchen.name, fields)
        try:
            trial = trial_of(fields)
        except BadInput as wrong:
            return render_logging(replace(page, faults=wrong.faults), 422)
        made = trials.add_trial(connection, caller, kitchen_id, trial)
    known = known_of(parts.database, caller, kitchen_id)
    told = lessons_of(known).trials
    lesson = next((one.words for one in told if one.trial_id == made.id), None)
    known_next = _next(parts, caller, kitchen_id, trial)
    return render_logging(replace(page, logged=made.id, lesson=lesson, next_bake=known_next))


def _next(parts: Wiring, caller: str, kitchen_id: str, trial: Trial) -> NextBake | None:
    """Return what to bake next of the dough that was first baked on this form."""
    known = known_of(parts.database, caller, kitchen_id)
    first = next(t for t in known.learned.trials if t.form == trial.form)
    rolled = [sheet.thickness_mm for t in known.learned.trials for sheet in t.sheets]
    if not rolled:
        return None
    target = Target(form=first.form, thickness_mm=max(rolled), chilled=first.chilled)
    asked = NextBakeRequest(
        recipe=first.recipe, powder_strength=first.powder_strength, target=target
    )
    try:
        return next_bake(asked, known.learned, known.taught)
    except BadInput:
        return None
