"""Answers as people read them: tables of lines and ratios, then reasons, cautions and allergens."""

from collections.abc import Iterable, Sequence

from models import wording
from models.cautions import Allergens, Caution
from models.chance import CrackChance, chance_figure, range_figure
from models.outcome import FormReport, Outcome, OutcomeLine, OutcomeTarget, WindowBound
from models.ratios import RATIOS, RatioName, Ratios
from models.reading import Uncertain
from models.reading.doubts import quoted
from models.weighing import Weighing
from models.what_if import Judgement
from models.wording import COST_WORDS, RATIO_WORDS
from service.command_line.layout import columns, points
from service.questions.ingredient_table import IngredientEntry, IngredientSearch


def outcome_words(outcome: Outcome) -> list[str]:
    """Return the answer to a brief."""
    after = outcome.ratios.after
    strange = outcome.form.outside_experience if outcome.form else ()
    return [
        wording.outcome_words(outcome.outcome, strange).sentence,
        "",
        *columns(
            ("ingredient", "before", "after", "g before", "g after", "change"),
            [_line_cells(line) for line in outcome.lines],
            right=(3, 4, 5),
        ),
        "",
        *columns(
            ("ratio", "before", "after", "window"),
            [
                (words, _number(before), _number(getattr(after, name, None)), window)
                for name, words, before in _ratios(outcome.ratios.before)
                for window in [_window(outcome.window.get(name))]
            ],
            right=(1, 2),
        ),
        *_sheet_words(outcome.target),
        *_form_words(outcome.form),
        *(["", outcome.pieces.words] if outcome.pieces else []),
        *points("Why", (f"{x.ingredient}: {x.reason}" for x in outcome.lines if x.reason)),
        *_cost_words(outcome),
        *points("What the cost hangs on", (binding.message for binding in outcome.binding)),
        *points("What stands in the way", (conflict.message for conflict in outcome.conflicts)),
        *points(
            "What would work", (f"{c.limit}: {_number(c.relax_to)}" for c in outcome.relaxation)
        ),
        *_doubts((line.ingredient, line.uncertain) for line in outcome.lines),
        *points("Set aside", (f"{quoted(x.text)}: {x.aside.message}" for x in outcome.aside)),
        *_safety(outcome.cautions, outcome.allergens),
    ]


def _form_words(form: FormReport | None) -> list[str]:
    if form is None:
        return []
    if form.before is None:
        return points("No estimate of such a dough on such a form", form.outside_experience)
    thin = form.thickness_needed_mm
    alone = f"{thin:g} mm or less" if thin else "no sheet of 1.5 mm or more"
    estimates = [
        f"as it is: {_chance(form.before)}",
        *([f"as proposed: {_chance(form.after)}"] if form.after else []),
        f"by thickness alone, the recipe as it is: {alone} would do",
        *([form.what_would_tell] if form.what_would_tell else []),
        *([form.round_test] if form.round_test else []),
    ]
    return points(f"Chance of {form.event} (estimates; a trial decides)", estimates)


def _sheet_words(sheet: OutcomeTarget | None) -> list[str]:
    if sheet is None or sheet.after is None:
        return []
    before, after = sheet.before, sheet.after
    if (before.thickness_mm, before.chilled) == (after.thickness_mm, after.chilled):
        return []
    chilled = ", chilled" if after.chilled else ""
    return ["", f"Sheet: {after.measure}{chilled} instead of {before.measure}."]


def _chance(chance: CrackChance) -> str:
    spread = range_figure(chance.low_percent, chance.high_percent)
    return (
        f"{chance.words} ({chance_figure(chance.percent)}; kitchens differ, {spread}); a flat "
        f"piece grows by {chance.growth_mm.value:g} mm"
    )


def weighing_words(weighing: Weighing) -> list[str]:
    """Return a weighed recipe."""
    return [
        *columns(
            ("ingredient", "role", "measure", "grams", "% of flour"),
            [
                (
                    x.ingredient,
                    str(x.role),
                    str(x.measure),
                    _grams(x.grams),
                    _number(x.bakers_percent),
                )
                for x in weighing.lines
                if x.ingredient is not None and x.grams is not None
            ],
            right=(3, 4),
        ),
        f"total {_grams(weighing.total_grams)} g",
        "",
        *columns(
            ("ratio", "value"),
            [(words, _number(value)) for _, words, value in _ratios(weighing.ratios)],
            right=(1,),
        ),
        *_doubts((line.ingredient, line.uncertain) for line in weighing.lines if line.ingredient),
        *points("Set aside", (line.aside.message for line in weighing.lines if line.aside)),
        *_safety(weighing.cautions, weighing.allergens),
    ]


def _weights(grams: float, bakers_percent: float | None) -> tuple[str, str]:
    return _grams(grams), _number(bakers_percent)


def judgement_words(judgement: Judgement) -> list[str]:
    """Return what edits do to a dough."""
    after = judgement.ratios.after
    bounds = [
        (b.limit, _number(b.value), _number(b.measured), "holds" if b.holds else "does not hold")
        for b in judgement.bounds
    ]
    return [
        *columns(
            ("ratio", "before", "after"),
            [
                (words, _number(before), _number(getattr(after, name, None)))
                for name, words, before in _ratios(judgement.ratios.before)
            ],
            right=(1, 2),
        ),
        *(["", *columns(("bound", "value", "measured", ""), bounds, (1, 2))] if bounds else []),
        *_form_words(judgement.form),
        *points("Notes", judgement.notes),
        *_safety(judgement.cautions, judgement.allergens),
    ]


def search_words(found: IngredientSearch) -> list[str]:
    """Return ingredients found, or the nearest misses."""
    if not found.total:
        return points(
            "Nothing of that name. Did you mean:", (x.name for x in found.near_misses)
        ) or ["Nothing of that name."]
    shown = f"{len(found.ingredients)} of {found.total}"
    headings = (
        "ingredient",
        "role",
        "g/cup",
        "g/tbsp",
        "g/tsp",
        "g/piece",
        "water %",
        "fat %",
        "sugars %",
    )
    return [
        *columns(headings, map(_entry_cells, found.ingredients), right=range(2, 9)),
        *([f"{shown} shown; --limit shows more"] if len(found.ingredients) < found.total else []),
    ]


def _line_cells(line: OutcomeLine) -> tuple[str, ...]:
    before, after = line.before, line.after
    cells = (line.ingredient, before.measure)
    if after is None:
        return (*cells, "", _grams(before.grams), "", "")
    grams = (_grams(before.grams), _grams(after.grams))
    if not line.moved:
        measure = "the same" if after.measure == before.measure else after.measure
        return (*cells, measure, *grams, "")
    change = "new" if line.change_percent is None else f"{line.change_percent:+.1f} %"
    return (*cells, after.measure, *grams, change)


def _entry_cells(entry: IngredientEntry) -> Sequence[str]:
    weights, made_of = entry.grams_per, entry.composition
    numbers = (
        weights.cup,
        weights.tbsp,
        weights.tsp,
        weights.each,
        made_of.water_percent,
        made_of.fat_percent,
        made_of.sugars_percent,
    )
    return (entry.name, entry.role, *map(_number, numbers))


def _ratios(ratios: Ratios) -> Iterable[tuple[RatioName, str, float | None]]:
    return ((name, _ratio_title(name), getattr(ratios, name)) for name in RATIOS)


def _window(bound: WindowBound | None) -> str:
    if bound is None:
        return ""
    if bound.max is None:
        return f"at least {_number(bound.min)}"
    if bound.min is None:
        return f"at most {_number(bound.max)}"
    return f"{_number(bound.min)} to {_number(bound.max)}"


def _cost_words(outcome: Outcome) -> list[str]:
    cost, proof = outcome.cost, outcome.proof
    if cost is None:
        return []
    proved = proof is not None and proof.status == "optimal"
    how = (
        "proved least"
        if proved
        else f"no answer costs less than {proof.bound:.4f}"
        if proof
        else ""
    )
    terms = ", ".join(
        f"{getattr(cost, term):.4g} for {words}"
        for term, words in COST_WORDS.items()
        if getattr(cost, term)
    )
    return ["", f"Cost {cost.total:.4f} ({terms or 'nothing moves'}), {how}."]


def _doubts(doubts: Iterable[tuple[str, Uncertain | None]]) -> list[str]:
    return points("Read with doubt", (f"{name}: {d.message}" for name, d in doubts if d))


def _safety(cautions: Iterable[Caution], allergens: Allergens) -> list[str]:
    return [
        *points("Cautions", (f"{c.text} [{c.source}]" for c in cautions)),
        *points(
            "Allergens",
            (
                f"by US law: {', '.join(allergens.us) or 'none known'}",
                f"by EU law: {', '.join(allergens.eu) or 'none known'}",
                *([f"not settled in: {', '.join(allergens.maybe)}"] if allergens.maybe else ()),
            ),
        ),
    ]


def _grams(grams: float) -> str:
    return f"{grams:.1f}"


def _number(value: float | None) -> str:
    return "-" if value is None else f"{value:.4g}"


def _ratio_title(name: RatioName) -> str:
    words = RATIO_WORDS[name]
    return f"{words.name}, % of flour" if words.unit else words.name
