"""The ladder command: the rungs as people read them."""

from models.chance import chance_figure, range_figure
from models.ladder import Ladder, Rung
from service.command_line.layout import columns, points


def ladder_words(ladder: Ladder) -> list[str]:
    """Return a ladder as people read it."""
    return [
        *(_rungs_words(ladder) if ladder.rungs else _steps_words(ladder)),
        *([] if ladder.complete else ["", "The deadline struck before every way was tried."]),
        *points("Keep in mind", ladder.limits_of_the_model),
    ]


def _rungs_words(ladder: Ladder) -> list[str]:
    return [
        f"Ways to keep the chance of a crack within {ladder.limit_percent:g} %, least harm first",
        "",
        *columns(("way", "chance", "range", "grows", "cost", "enough"), map(_cells, ladder.rungs)),
        *points("What to do", (f"{_name(rung.code)}: {rung.words}" for rung in ladder.rungs)),
        *points("Not worth it", (f"{_name(d.code)}: {d.why}" for d in ladder.dropped)),
        "",
        _thickness_words(ladder),
    ]


def _steps_words(ladder: Ladder) -> list[str]:
    strange = "; ".join(ladder.outside_experience)
    steps = (f"{_name(step.code)}: {step.words}" for step in ladder.steps)
    return [
        f"No estimate of such a dough on such a form: {strange}.",
        *points("What the trade tries all the same, one at a time, least harm first", steps),
    ]


def _cells(rung: Rung) -> tuple[str, ...]:
    chance = rung.chance
    return (
        _name(rung.code),
        chance_figure(chance.percent),
        range_figure(chance.low_percent, chance.high_percent),
        f"{rung.growth_mm.value:.1f} mm",
        f"{rung.texture_cost:.2f}",
        "recommended" if rung.recommended else "yes" if rung.reaches else "no",
    )


def _name(code: str) -> str:
    return code.replace("_", " ")


def _thickness_words(ladder: Ladder) -> str:
    assert ladder.sensitivity is not None, "where there are rungs, thickness has its say"
    needed = ladder.sensitivity.thickness_needed_mm
    if needed is None:
        return "Thickness alone would not do: no sheet of 1.5 mm or more is thin enough."
    return f"Thickness alone would have to be {needed:g} mm or less."
