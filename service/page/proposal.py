"""The proposal under hand: the way that is chosen, moved by sliders, and what it would do.

What is moved is the thickness of the sheet, its chilling, and the leavening and flour of the dough;
nothing is searched for, so it answers at once.
"""

import json
from dataclasses import dataclass
from typing import Any

from models.brief import Brief
from models.chance import CrackChance
from models.formula import Formula
from models.outcome import RolledSheet
from models.target import MOST_THICKNESS_MM, Target
from models.thickness import thickness_words
from models.what_if import WhatIf
from service.drawings.hero import Half, draw_hero, stretch_words
from service.page.fields import Fields
from service.page.languages import Say, language_of, say_in
from service.page.ways import ORDER, half_of
from service.page.words import figure_words, named
from service.page.words import tens as draw_pieces
from service.reading.strict_json import understand
from solver.mechanics.chance import crack_chance
from solver.mechanics.experience import unusual
from solver.mechanics.round_test import believed
from solver.what_if import judge

THICKNESS, LEAVENING, FLOUR, CHILLED = "hand.thickness", "hand.leavening", "hand.flour", "hand.cold"
CHANGES = {"leavener": (LEAVENING, -100.0, 50.0), "flour": (FLOUR, -30.0, 50.0)}


@dataclass(frozen=True)
class Proposal:
    """A dough as lines of a request, and its sheet; `code` is the way that it began as."""

    code: str
    lines: tuple[dict[str, Any], ...]
    thickness_mm: float
    chilled: bool

    def written(self) -> str:
        """Return it as a hidden field holds it."""
        return json.dumps(
            [self.code, self.lines, self.thickness_mm, self.chilled],
            ensure_ascii=False,
            separators=(",", ":"),
        )

    @classmethod
    def read(cls, written: str) -> "Proposal | None":
        """Return what a hidden field holds; None for anything else."""
        try:
            code, lines, thickness, chilled = json.loads(written)
            if code not in ORDER:
                return None
            return cls(code, tuple(dict(line) for line in lines), float(thickness), bool(chilled))
        except (ValueError, TypeError, RecursionError):
            return None


@dataclass(frozen=True)
class State:
    """One side of the picture: its sheet, its chance of a crack and how far its face stretches."""

    sheet: RolledSheet
    chance: CrackChance
    stretch: str
    tens: str


@dataclass(frozen=True)
class Hero:
    """The picture with both of its sides, and the proposal as it stands after the sliders."""

    svg: str
    before: State
    after: State
    start: Proposal
    lines: tuple[dict[str, Any], ...]
    moved: bool
    limit: float
    known: bool
    leavening: float
    flour: float


def hero_of(brief: Brief, start: Proposal, fields: Fields) -> Hero | None:
    """Return the picture of `start` moved by hand as `fields` say, beside the recipe as written.

    None where nothing is known of such a dough or form. What is out of range is brought into it.
    """
    target = brief.target
    assert target is not None, "a hero stands on a form"
    sheet = _sheet(start, fields, target)
    changes = {role: _change(fields, *where) for role, where in CHANGES.items()}
    formula, lines = _dough(brief, start, changes)
    given = believed(brief.round_test, brief.formula, brief.taught)
    planned = target.rolled(target.thickness_mm, chilled=target.chilled)
    if unusual(formula, sheet, given) or unusual(brief.formula, planned, given):
        return None
    was, now = (crack_chance(*each, given) for each in ((brief.formula, planned), (formula, sheet)))
    halves = half_of(brief, brief.formula, planned, was), half_of(brief, formula, sheet, now)
    limit, say = brief.chance_limit_percent, say_in(language_of(fields.one("lang")))
    return Hero(
        svg=draw_hero(*halves, *_told(say, *halves)),
        before=_state(say, halves[0], was, brief),
        after=_state(say, halves[1], now, brief),
        start=start,
        lines=lines,
        moved=any(fields.under("hand")),
        limit=limit,
        known=brief.taught is not None,
        leavening=changes["leavener"],
        flour=changes["flour"],
    )


def _told(say: Say, before: Half, after: Half) -> tuple[str, str]:
    """Return what the picture is called, and what it shows in words."""
    form = after.course.target.form
    title = say("In section: %(form)s, %(dimensions)s", **named(say, form))
    told = say(
        "Left, as written: %(was)s thick; the outer face stretches by %(far)s. "
        "Right, as proposed: %(now)s thick; the outer face stretches by %(less)s.",
        was=thickness_words(before.course.target.thickness_mm),
        far=figure_words(say, stretch_words(before)),
        now=thickness_words(after.course.target.thickness_mm),
        less=figure_words(say, stretch_words(after)),
    )
    return title, told


def _state(say: Say, half: Half, chance: CrackChance, brief: Brief) -> State:
    known = brief.taught is not None
    tens = draw_pieces(say, chance, brief.chance_limit_percent, known)
    sheet = RolledSheet.of(half.course.target)
    return State(sheet, chance, stretch_words(half), tens)


def _sheet(start: Proposal, fields: Fields, target: Target) -> Target:
    most = min(target.most_thickness_mm, MOST_THICKNESS_MM)
    thickness = _number(fields.one(THICKNESS), start.thickness_mm)
    chilled = {"yes": True, "no": False}.get(fields.one(CHILLED), start.chilled)
    return target.rolled(min(most, max(1.5, thickness)), chilled=chilled)


def _change(fields: Fields, name: str, least: float, most: float) -> float:
    return min(most, max(least, _number(fields.one(name), 0.0)))


def _number(typed: str, otherwise: float) -> float:
    try:
        value = float(typed.replace(",", ".").removesuffix("mm").strip())
    except ValueError:
        return otherwise
    return value if abs(value) < 1000 else otherwise  # also not for NaN


def _dough(
    brief: Brief, start: Proposal, changes: dict[str, float]
) -> tuple[Formula, tuple[dict[str, Any], ...]]:
    """Return the dough of `start` with its roles changed, by weight and as lines."""
    custom = [each.model_dump(mode="json") for each in brief.recipe.custom_ingredients]
    recipe = {"lines": list(start.lines), "custom_ingredients": custom}
    strength = brief.powder_strength
    asked: dict[str, Any] = {"recipe": recipe, "powder_strength": strength, "edits": []}
    plain = understand(json.dumps(asked).encode(), WhatIf)
    edits = [
        {"ingredient": name, "change_percent": changes[role]}
        for role in CHANGES
        if changes[role]
        for name in dict.fromkeys(line.name for line in plain.formula.lines if line.role == role)
    ]
    if not edits:
        return plain.formula, start.lines
    judged = judge(understand(json.dumps({**asked, "edits": edits}).encode(), WhatIf))
    assert judged.recipe is not None, "flour never goes to nothing here"
    lines = tuple(_in_words(line.model_dump(mode="json")) for line in judged.recipe.lines)
    return Formula.from_recipe(judged.recipe, brief.powder_strength), lines


def _in_words(line: dict[str, Any]) -> dict[str, Any]:
    """Return a line as a person would write it: what was edited is by weight."""
    if "text" in line:
        return line
    grams = line["quantity"]
    rounded = f"{grams:.0f}" if grams >= 20 else f"{grams:.1f}"
    return {"text": f"{rounded} g {line['ingredient']}"}
