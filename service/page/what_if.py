"""What if: thickness, flour and leavening moved by hand, and what the dough would then do."""

from typing import Any, NamedTuple

from models.brief import Bounded, RecipeToWeigh
from models.chance import CrackChance
from models.ratios import RATIOS, RatioName
from models.what_if import Judgement, WhatIf
from service.page.fields import Fields
from service.page.typed_request import TypedRequest
from solver.mechanics.chance import crack_chance
from solver.what_if import judge

FLOUR, LEAVENING, THICKNESS = "what.flour", "what.leavening", "what.thickness"


class Tried(NamedTuple):
    """What was tried and what came of it; the chances are None without a form."""

    judgement: Judgement
    thickness_mm: float | None
    before: CrackChance | None
    after: CrackChance | None

    @property
    def ratios(self) -> list[tuple[RatioName, float | None, float | None]]:
        """Each ratio as written and as tried."""
        before, after = self.judgement.ratios.before, self.judgement.ratios.after
        return [(name, getattr(before, name), getattr(after, name, None)) for name in RATIOS]


def try_out(request: TypedRequest) -> Tried | None:
    """Return what the changes typed under "what if" would do; None where there are faults."""
    plain = request.understood(Bounded)
    if plain is None:
        return None
    fields = request.fields
    edits = [
        *_edits(plain, request, "flour", FLOUR),
        *_edits(plain, request, "leavener", LEAVENING),
    ]
    target = request.target and {**request.target, **_thickness(fields)}
    asked = request.understood(WhatIf, edits=edits, target=target)
    request.faults = [
        fault._replace(field=THICKNESS) if fault.field == "thickness" else fault
        for fault in request.faults
    ]
    return None if asked is None else _judged(plain, asked)


def _judged(plain: Bounded, asked: WhatIf) -> Tried:
    judgement = judge(asked)
    before = after = None
    if plain.target and asked.target and judgement.recipe and _has_flour(judgement):
        before = crack_chance(plain.formula, plain.target)
        after = crack_chance(RecipeToWeigh(recipe=judgement.recipe).formula, asked.target)
    return Tried(judgement, asked.target.thickness_mm if asked.target else None, before, after)


def _has_flour(judgement: Judgement) -> bool:
    return judgement.ratios.after is not None and judgement.ratios.after.egg_percent is not None


def _edits(plain: Bounded, request: TypedRequest, role: str, name: str) -> list[dict[str, Any]]:
    if not request.fields.one(name).strip():
        return []
    change = request.number(name)
    named = dict.fromkeys(line.name for line in plain.formula.lines if line.role == role)
    return [{"ingredient": ingredient, "change_percent": change} for ingredient in named]


def _thickness(fields: Fields) -> dict[str, Any]:
    typed = fields.one(THICKNESS).strip()
    return {"thickness_mm": f"{typed} mm"} if typed else {}
