"""A trial bake from the page: the dough as written beside the way that is taken, on a sheet."""

from dataclasses import replace
from typing import Any

from models.bake_sheet import BakeSheet
from models.brief import Brief
from service.page.answer import answer
from service.page.fields import Fields
from service.page.page import Page, fields_of, read_typed
from service.page.proposal import Hero
from service.questions.bake_sheets import BakeSheetRequest, planned_bake
from service.questions.knowing import Knowing
from solver.search.deadline import SecondsLeft


def planned_sheet(
    fields: Fields, log_address: str | None, seconds_left: SecondsLeft, knowing: Knowing
) -> BakeSheet | Page:
    """Return the sheet that compares the dough as written with the way that is taken, as it was
    moved by hand; the page with its faults where there is none.

    `log_address` is where the outcome is logged. The batch is the sheet's own. Raises BadInput
    where the pieces need more dough than a small batch gives.
    """
    fields = fields_of(fields)
    page, request = read_typed(fields, knowing)
    measures = fields.one("measures")
    brief = request.understood(Brief, measures=measures)
    if brief is None:
        return replace(page, faults=tuple(request.faults))
    hero = answer(brief, fields, seconds_left).hero
    more = {"variant": _variant(hero, brief) if hero else None, "log_address": log_address}
    more |= {"paper": fields.one("do"), "measures": measures}
    again = read_typed(fields, knowing)[1]
    asked = again.understood(BakeSheetRequest, **more)
    if asked is None:
        return replace(page, faults=tuple(again.faults))
    return planned_bake(asked, seconds_left)


def _variant(hero: Hero, brief: Brief) -> dict[str, Any] | None:
    """Return the proposal as the variant of a bake sheet; None for the recipe as it is."""
    if not hero.moved and hero.start.code == "as_it_is":
        return None
    custom = [food.model_dump(mode="json") for food in brief.recipe.custom_ingredients]
    recipe = {"lines": list(hero.lines), "custom_ingredients": custom}
    sheet = hero.after.sheet
    return {"recipe": recipe, "thickness_mm": sheet.thickness_mm, "chilled": sheet.chilled}
