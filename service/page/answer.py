"""The answer as the page shows it: the outcome, its bars, its card, its pictures, its ways out."""

from dataclasses import dataclass

from models.brief import Brief
from models.outcome import Outcome
from service.page.bars import Bar, bars
from service.page.card import card_lines, card_text, json_ld_address, on_form
from service.page.easing import Easing, easing
from service.page.fields import Fields
from service.page.pictures import section_address, template_address
from solver.reformulate import reformulate
from solver.search.deadline import SecondsLeft

MOST_SHARED_CHARACTERS = 8_000
"""Longer addresses are cut by programs that pass them on; common practice, no source."""


@dataclass(frozen=True)
class ShownAnswer:
    """One brief and its outcome, ready to be shown."""

    brief: Brief
    outcome: Outcome
    bars: list[Bar]
    ways_out: tuple[tuple[str, Easing | None], ...]
    together: Easing | None
    lines: list[str]
    text: str
    on_form: str
    json_ld: str
    section: str | None
    templates: tuple[tuple[str, str], ...]
    share: str | None

    @property
    def has_recipe(self) -> bool:
        """Whether there is a recipe to bake."""
        return self.outcome.ratios.after is not None

    @property
    def changes(self) -> bool:
        """Whether that recipe is another than was written."""
        return self.has_recipe and self.outcome.outcome != "unchanged"


def answer(brief: Brief, fields: Fields, seconds_left: SecondsLeft) -> ShownAnswer:
    """Return the answer to `brief`; raise RecheckFailed where it cannot be trusted."""
    outcome = reformulate(brief, seconds_left)
    window, lengths = outcome.window, fields.one("lengths")
    papers = {"A4": template_address(brief, "a4"), "Letter": template_address(brief, "letter")}
    share = fields.shared()
    several = len(outcome.relaxation) > 1
    return ShownAnswer(
        brief=brief,
        outcome=outcome,
        bars=bars(outcome),
        ways_out=tuple((c.message, easing([c], window)) for c in outcome.conflicts),
        together=easing(outcome.relaxation, window) if several else None,
        lines=card_lines(brief, outcome),
        text=card_text(brief, outcome, lengths),
        on_form=on_form(brief, lengths),
        json_ld=json_ld_address(brief, outcome),
        section=section_address(brief, outcome),
        templates=tuple((name, address) for name, address in papers.items() if address),
        share=share if len(share) <= MOST_SHARED_CHARACTERS else None,
    )
