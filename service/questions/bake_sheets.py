"""Bake sheets: a control and a variant in a small batch that can be measured, on a page to print.

The plan's words are `models.bake_sheet`, the page is `service.drawings.bake_sheet`.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import Annotated
from urllib.parse import urlencode

from pydantic import StringConstraints, model_validator

from models.bake_sheet import (
    ROUND_MM,
    BakeSheet,
    BatchLine,
    OutcomeScales,
    TestBatch,
    TrayPieces,
    Variant,
    held_equal,
    test_factors,
    tray_grams,
)
from models.batch import Batch
from models.brief import Brief
from models.chance import Spread
from models.errors import BadInput, Fault, refusal
from models.formula import Formula
from models.measures import GRAMS_PER
from models.outcome import Outcome
from models.recipe import line_words
from models.target import Target
from models.thickness import thickness_words
from models.trial_scales import CRACK_GRADES, HANDLING_GRADES, TEXTURE_GRADES
from models.window import Window
from models.wording import number
from service.drawings.bake_sheet import draw_bake_sheet
from service.drawings.pages import Paper
from solver.mechanics.chance import crack_chance
from solver.mechanics.dough import LIMITS_OF_THE_MODEL
from solver.mechanics.experience import unusual
from solver.mechanics.round_test import believed
from solver.reformulate import reformulate
from solver.search.deadline import SecondsLeft

STRAYS_WITHIN = 0.03
"""How far rounding to spoons may move a ratio of a test batch: less than a flour's own moisture
does. Judgement."""
FEW_CHANGES = 2
MOST_SCANNED = 600
"""Characters of an address as a code of 26 mm: with more, its modules get finer than 0.3 mm, which
an old telephone does not tell apart. Judgement."""

Address = Annotated[str, StringConstraints(pattern=r"^https?://[!-~]{1,400}$")]


class BakeSheetRequest(Brief):
    """A brief on a form, how many pieces go on a tray, and the variant to try.

    Without a `variant` it is the smallest change that the brief asks for. `log_address` is printed
    as a code: where the outcome is to be logged, with what the sheet knows of it in the query.
    """

    variant: Variant | None = None
    pieces: TrayPieces = 4
    paper: Paper = "a4"
    log_address: Address | None = None

    @model_validator(mode="after")
    def _can_be_planned(self) -> "BakeSheetRequest":
        faults: list[tuple[tuple[int | str, ...], str]] = []
        if self.target is None:
            faults.append((("target",), "is missing; a bake is planned for one form"))
        if self.batch is not None:
            faults.append(
                (("batch",), "is not for a bake sheet, which finds its own; leave it out")
            )
        if self.variant and self.variant.recipe and not self.variant.recipe.has_flour:
            faults.append((("variant", "recipe", "lines"), "has no flour; it is no dough"))
        if faults:
            raise refusal(faults)
        return self


def planned_bake(asked: BakeSheetRequest, seconds_left: SecondsLeft) -> BakeSheet:
    """Return the sheet for one comparison."""
    target = asked.target
    assert target is not None, "checked with the request"
    needed = max(tray_grams(sheet, asked.pieces) for sheet in _sheets(asked, target))
    factor, control = _control(asked, needed, seconds_left)
    variant, tried, notes = _variant(asked, factor, seconds_left)
    plain = target.rolled(target.thickness_mm, chilled=target.chilled)
    first = _batch(asked, control, plain, variant, _chance(asked, asked.formula, plain))
    second = None
    if variant and tried:
        second = _batch(asked, variant, tried, control, _expected(asked, variant, tried))
    differs = tuple(_differences(first, second)) if second else ()
    sheet = BakeSheet(
        title=asked.recipe.title or "A trial bake",
        pieces=asked.pieces,
        batch_factor=float(factor),
        control=first,
        variant=second,
        held_equal=tuple(held_equal(plain, tried if second else None)),
        differs=differs,
        flat_round=_ROUND,
        scales=_SCALES,
        notes=(*notes, *_notes(differs)),
        log_address=_begun(asked, plain, tried if second else None),
        cautions=(variant or control).cautions,
        allergens=(variant or control).allergens,
        limits_of_the_model=LIMITS_OF_THE_MODEL,
        svg="",
    )
    return sheet.model_copy(update={"svg": draw_bake_sheet(sheet, asked.paper)})


def _begun(asked: BakeSheetRequest, control: Target, tried: Target | None) -> str | None:
    """Return the address that takes the outcome, with what the sheet knows of it already: its form
    is filled in but for the grades. The recipe is left out where it is too long to scan."""
    if asked.log_address is None or "?" in asked.log_address:
        return asked.log_address
    form = control.form.model_dump(exclude_none=True)
    known = {
        "title": asked.recipe.title or "",
        "form": " ".join(f"{name}={_plain(value)}" for name, value in form.items()),
        "thickness1": _plain(control.thickness_mm),
        "chilled": "yes" if control.chilled else "",
    }
    is_one_dough = asked.variant is not None and asked.variant.recipe is None
    if tried is not None and is_one_dough and tried.chilled == control.chilled:
        known["thickness2"] = _plain(tried.thickness_mm)
    recipe = "\n".join(line_words(line) for line in asked.recipe.lines)
    for typed in ({**known, "recipe": recipe}, known):
        address = f"{asked.log_address}?{urlencode({k: v for k, v in typed.items() if v})}"
        if len(address) <= MOST_SCANNED:
            return address
    return asked.log_address


def _plain(value: object) -> str:
    return f"{value:.6g}" if isinstance(value, float) else str(value)


_ROUND = (
    f"On every tray one flat round of {ROUND_MM:g} mm from the same sheet: measure it straight "
    "across when cut and when cold."
)
_SCALES = OutcomeScales(crack_grades=CRACK_GRADES, handling=HANDLING_GRADES, texture=TEXTURE_GRADES)


def _sheets(asked: BakeSheetRequest, target: Target) -> Iterator[Target]:
    yield target
    if asked.variant:
        yield _tried(asked.variant, target)


def _tried(variant: Variant, target: Target) -> Target:
    thickness = variant.thickness_mm or target.thickness_mm
    if thickness > target.most_thickness_mm:
        message = f"must be {target.most_thickness_mm:.4g} mm or less on this form"
        raise BadInput([Fault(pointer="/variant/thickness_mm", message=message)])
    chilled = target.chilled if variant.chilled is None else variant.chilled
    return target.rolled(thickness, chilled=chilled)


def _control(
    asked: BakeSheetRequest, needed: float, seconds_left: SecondsLeft
) -> tuple[Fraction, Outcome]:
    """Return the smallest batch of the recipe as written that can be measured, and its amounts."""
    tried: list[tuple[float, Fraction, Outcome]] = []
    for factor in test_factors(asked.formula, needed):
        measured = _measured(asked, factor, seconds_left)
        strays = _strays(asked.formula, measured)
        if strays <= STRAYS_WITHIN:
            return factor, measured
        tried.append((strays, factor, measured))
        if len(tried) == 6 or seconds_left() < 1:
            break
    if not tried:
        message = f"needs more dough than a small batch gives; {asked.pieces} are too many"
        raise BadInput([Fault(pointer="/pieces", message=message)])
    _, factor, measured = min(tried, key=lambda one: one[0])
    return factor, measured


def _measured(asked: BakeSheetRequest, factor: Fraction, seconds_left: SecondsLeft) -> Outcome:
    """Return the recipe as written at another size: the nearest amounts, and nothing moved."""
    brief = Brief(
        recipe=asked.recipe,
        powder_strength=asked.powder_strength,
        measures=asked.measures,
        window=Window(),
        batch=Batch(factor=float(factor)),
    )
    return reformulate(brief, seconds_left)


def _strays(formula: Formula, measured: Outcome) -> float:
    """Return how far the ratios are from the recipe's; far where an egg would have to be weighed
    that was counted."""
    counted = {
        line.name
        for line in formula.lines
        if line.role == "egg" and not any(term.unit in GRAMS_PER for term in line.amount.terms)
    }
    for line in measured.lines:
        if line.ingredient in counted and line.after and line.after.measure.endswith(" g"):
            return 1.0
    total = sum(line.after.grams for line in measured.lines if line.after)
    scale = total / float(formula.total_grams)
    by_name: dict[str, float] = {}
    for line, kept in zip(measured.lines, formula.lines, strict=True):
        after = line.after.grams if line.after else 0.0
        if kept.role not in {"salt", "flavour", "inclusion"} and kept.grams:
            share = abs(after / (scale * float(kept.grams)) - 1) * _WEIGHS.get(kept.role, 1.0)
            by_name[line.ingredient] = max(share, by_name.get(line.ingredient, 0.0))
    return max(by_name.values(), default=0.0)


_WEIGHS = {"egg": 0.25, "leavener": 0.5}
"""A spoonful of soda that is 6 % off moves a dough as little as flour that is 3 % off; an egg by a
tenth moves its water and fat by a hundredth."""


def _variant(
    asked: BakeSheetRequest, factor: Fraction, seconds_left: SecondsLeft
) -> tuple[Outcome | None, Target | None, tuple[str, ...]]:
    """Return what is tried, its sheet, and what is to be said of it."""
    target = asked.target
    assert target is not None, "checked with the request"
    if asked.variant:
        recipe = asked.variant.recipe or asked.recipe
        tried = asked.model_copy(update={"recipe": recipe})
        return _measured(tried, factor, seconds_left), _tried(asked.variant, target), ()
    names = set(Brief.model_fields) - {"batch"}
    members = {name: getattr(asked, name) for name in names if name in asked.model_fields_set}
    brief = Brief(**{**members, "batch": Batch(factor=float(factor))}).taught_by(asked.taught)
    answer = reformulate(brief, seconds_left)
    if answer.cost is None:
        stands = "; ".join(conflict.message for conflict in answer.conflicts[:3])
        return None, None, (f"No change will do within these limits: {stands}",)
    if answer.outcome == "unchanged":
        return None, None, ("The recipe as written already does; bake it, and nothing beside it.",)
    after = answer.target.after if answer.target else None
    rolled = target.rolled(after.thickness_mm, chilled=after.chilled) if after else target
    return answer, rolled, ()


def _batch(
    asked: BakeSheetRequest,
    measured: Outcome,
    target: Target,
    other: Outcome | None,
    chance: Spread | None,
) -> TestBatch:
    grams = sum(line.after.grams for line in measured.lines if line.after)
    beside = other.lines if other else ()
    theirs = {(line.ingredient, line.after.measure) for line in beside if line.after}
    return TestBatch(
        target=target,
        thickness=thickness_words(target.thickness_mm),
        lines=tuple(
            BatchLine(
                ingredient=line.ingredient,
                role=line.role,
                grams=line.after.grams,
                measure=line.after.measure,
                scoops=line.after.scoops,
                differs=bool(theirs) and (line.ingredient, line.after.measure) not in theirs,
            )
            for line in measured.lines
            if line.after
        ),
        dough_grams=grams,
        needed_grams=tray_grams(target, asked.pieces),
        chance_percent=chance,
    )


def _expected(asked: BakeSheetRequest, variant: Outcome, target: Target) -> Spread | None:
    """Return the variant's chance: that of its measured amounts where it was worked out here."""
    if asked.variant is None:
        return variant.form.chance_percent.after if variant.form else None
    recipe = asked.variant.recipe or asked.recipe
    return _chance(asked, Formula.from_recipe(recipe, asked.powder_strength), target)


def _chance(asked: BakeSheetRequest, dough: Formula, target: Target) -> Spread | None:
    draws = believed(asked.round_test, asked.formula, asked.taught)
    return (
        None if unusual(dough, target, draws) else crack_chance(dough, target, draws).chance_percent
    )


def _differences(control: TestBatch, variant: TestBatch) -> Iterator[str]:
    if control.target.thickness_mm != variant.target.thickness_mm:
        yield f"Rolled to {variant.thickness} instead of {control.thickness}."
    if control.target.chilled != variant.target.chilled:
        yield "Chilled before it bakes." if variant.target.chilled else "Not chilled."
    before = {line.ingredient: line.measure for line in control.lines}
    after = {line.ingredient: line.measure for line in variant.lines}
    for name in dict.fromkeys([*before, *after]):
        if before.get(name) != after.get(name):
            yield f"{name}: {after.get(name, 'none')} instead of {before.get(name, 'none')}."


def _notes(differs: tuple[str, ...]) -> Iterator[str]:
    if len(differs) > FEW_CHANGES:
        yield (
            f"{number(Fraction(len(differs)))} things differ: the trays will tell which dough is "
            "better, not which change made it so."
        )
    yield "One good piece proves little, and pieces of one tray are alike: bake a second tray."
