"""Requests: what a file holds and what was typed, put together as the HTTP service takes it.

Only what was typed is added; everything else keeps the service's own defaults.
"""

from argparse import Namespace
from typing import Any

from models.ratios import RATIOS
from service.command_line.template import OPTIONS

Members = dict[str, Any]


def ratios_request(request: Members, given: Namespace) -> Members:
    """Return the request for a weighing."""
    return _with(request, powder_strength=given.powder_strength)


def reformulation_request(request: Members, given: Namespace) -> Members:
    """Return the request for a reformulation."""
    batch = {
        "factor": given.batch_factor,
        "dough_grams": given.batch_dough_grams,
        "flour_grams": given.batch_flour_grams,
        "pieces": given.batch_pieces,
    }
    return _with(
        _on_form(_bounded(request, given), given),
        weights=_with(_members(request, "weights"), **dict(given.weight)),
        measures=given.measures,
        batch=_with({}, **batch) or None,
    )


def run_request(given: Namespace) -> Members:
    """Return the request for a run, but for its catalogue."""
    return reformulation_request({}, given)


def ladder_request(request: Members, given: Namespace) -> Members:
    """Return the request for a ladder."""
    bounded = _on_form(_bounded(request, given), given)
    return _with(bounded, measures=given.measures, points=given.points)


def bake_sheet_request(request: Members, variant: Members | None, given: Namespace) -> Members:
    """Return the request for a bake sheet; `variant` holds the recipe to try, if any."""
    tried = _with({}, thickness_mm=given.variant_thickness)
    if variant is not None:
        tried["recipe"] = variant["recipe"]
    return _with(
        _on_form(_bounded(request, given), given),
        measures=given.measures,
        pieces=given.pieces,
        variant=tried,
        paper=given.paper,
        log_address=given.log_address,
    )


def trial_request(request: Members, given: Namespace) -> Members:
    """Return the trial that was typed: a tray of the recipe in `request`."""
    measured = given.flat_round
    if measured and "thickness_mm" not in measured and given.tray:
        measured = {**measured, "thickness_mm": given.tray[0]["thickness_mm"]}
    return _with(
        request,
        form=_with(_members(request, "form"), **_form(given)),
        chilled=given.chilled or None,
        sheets=given.tray,
        flat_round=measured,
        handling=given.handling,
        texture=given.texture,
        note=given.note,
    )


def next_bake_request(request: Members, given: Namespace) -> Members:
    """Return the request for the next bake."""
    asked = _on_form(request, given)
    return _with(
        {name: value for name, value in asked.items() if value != {}}, preference=given.preference
    )


def _form(given: Namespace) -> Members:
    return _with({}, kind=given.kind, **{name: getattr(given, name) for name in OPTIONS})


def _on_form(request: Members, given: Namespace) -> Members:
    target = _with(
        _members(request, "target"),
        form=_form(given),
        thickness_mm=given.thickness_mm,
        may_roll_to_mm=given.may_roll_to,
        chilled=given.chilled or None,
        may_chill=given.may_chill or None,
    )
    chance = _with({}, max=given.crack_chance_percent)
    window = _with(_members(request, "window"), crack_chance_percent=chance)
    return _with(request, target=target, window=window, round_test=given.round)


def what_if_request(request: Members, given: Namespace) -> Members:
    """Return the request for a judgement on edits."""
    edits = request.get("edits", [])
    judged = _on_form(_bounded(request, given), given)
    return {**judged, "edits": [*edits, *given.edit] if given.edit else edits}


def _bounded(request: Members, given: Namespace) -> Members:
    typed = {name: getattr(given, name) for name in RATIOS}
    return _with(
        request,
        window=_with(_members(request, "window"), **typed),
        limits=_limits(_members(request, "limits"), given),
        powder_strength=given.powder_strength,
        kitchen=given.kitchen,
    )


def _limits(limits: Members, given: Namespace) -> Members:
    changes = _members(limits, "max_change_percent")
    return _with(
        limits,
        **dict(given.limit),
        keep=_more(limits, "keep", given.keep),
        max_flour_change_percent=given.max_flour_change_percent,
        max_change_percent=_with(changes, **dict(given.max_change_percent)),
        may_add=_more(limits, "may_add", given.may_add),
    )


def _with(members: Members, **more: Any) -> Members:
    """Return `members` with those of `more` that say anything."""
    return members | {name: value for name, value in more.items() if value not in (None, {}, [])}


def _members(of: Members, name: str) -> Members:
    found = of.get(name)
    return found if isinstance(found, dict) else {}


def _more(limits: Members, name: str, typed: list[str]) -> list[str]:
    found = limits.get(name)
    return [*(found if isinstance(found, list) else []), *typed]
