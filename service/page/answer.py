"""The answer as the page shows it: the ways, the one that is taken, its picture, its card, its
ways out where there is none."""

from dataclasses import dataclass

from models.brief import Brief
from models.cautions import Allergens, Caution, allergens_of, cautions_for
from models.outcome import Conflict, Outcome, OutcomeLine, RolledSheet
from models.ratios import Ratios
from service.page.bars import Bar, bars
from service.page.beyond import Beyond, beyond
from service.page.card import Baked, card_lines, card_text, json_ld_address, on_form, written_lines
from service.page.easing import Easing, easing
from service.page.fields import Fields
from service.page.languages import language_of, say_in
from service.page.pictures import code_address, template_address
from service.page.proposal import Hero, Proposal, hero_of
from service.page.ways import Way, chosen, formula_of, ways_of
from solver.reformulate import reformulate
from solver.search.deadline import SecondsLeft

MOST_SHARED_CHARACTERS = 8_000
"""Longer addresses are cut by programs that pass them on; common practice, no source."""


@dataclass(frozen=True)
class ShownAnswer:
    """One brief and its outcome, ready to be shown; `way` is the one that is taken, None where
    there is no form or nothing is known of it, and `hero` its picture; `beyond` stands in
    their place where the belief ends."""

    brief: Brief
    outcome: Outcome
    ways: tuple[Way, ...]
    way: Way | None
    hero: Hero | None
    beyond: Beyond | None
    after: Ratios | None
    bars: list[Bar]
    ways_out: tuple[tuple[Conflict, Easing | None], ...]
    together: Easing | None
    baked: Baked | None
    cautions: tuple[Caution, ...]
    allergens: Allergens
    lines: list[str]
    text: str
    on_form: str
    json_ld: str
    templates: tuple[tuple[str, str], ...]
    share: str | None
    code: str | None

    @property
    def has_recipe(self) -> bool:
        """Whether there is a recipe to bake."""
        return self.baked is not None

    @property
    def card(self) -> tuple[OutcomeLine, ...]:
        """The lines of the card."""
        return self.baked.lines if self.baked else ()

    @property
    def changes(self) -> bool:
        """Whether that recipe is another than was written."""
        return any(line.moved for line in self.card)

    @property
    def planned(self) -> RolledSheet | None:
        """The sheet as it was planned."""
        return self.outcome.target.before if self.outcome.target else None


def answer(brief: Brief, fields: Fields, seconds_left: SecondsLeft) -> ShownAnswer:
    """Return the answer to `brief`; raise RecheckFailed where it cannot be trusted."""
    outcome = reformulate(brief, seconds_left)
    ways = ways_of(brief, outcome, seconds_left)
    way = chosen(ways, fields.one("way"))
    baked = _baked(outcome, way)
    least = way is None or way.recommended
    dough = None if way is None or least else formula_of(brief, way)
    after = dough.ratios if dough else outcome.ratios.after
    hero = _hero(brief, baked, way, fields)
    say = say_in(language_of(fields.one("lang")))
    window, lengths = outcome.window, fields.one("lengths")
    several = len(outcome.relaxation) > 1
    share = fields.shared()
    papers = {"A4": template_address(brief, baked, "a4")}
    papers["Letter"] = template_address(brief, baked, "letter")
    return ShownAnswer(
        brief=brief,
        outcome=outcome,
        ways=ways,
        way=way,
        hero=hero,
        beyond=beyond(say, brief, outcome, seconds_left),
        after=after,
        bars=bars(outcome, after),
        ways_out=tuple((c, easing(say, [c], window)) for c in outcome.conflicts),
        together=easing(say, outcome.relaxation, window) if several else None,
        baked=baked,
        cautions=tuple(cautions_for(dough)) if dough else outcome.cautions,
        allergens=allergens_of(dough) if dough else outcome.allergens,
        lines=card_lines(brief, baked) if baked else [],
        text=card_text(say, brief, baked, lengths) if baked else "",
        on_form=on_form(say, brief, baked.sheet if baked else None, lengths),
        json_ld=json_ld_address(brief, baked) if baked else "",
        templates=tuple((name, address) for name, address in papers.items() if address),
        share=share if len(share) <= MOST_SHARED_CHARACTERS else None,
        code=code_address(share),
    )


def _baked(outcome: Outcome, way: Way | None) -> Baked | None:
    """Return what is baked: the way taken, else the least change; None where nothing will do."""
    if way is not None:
        return Baked(way.lines, outcome.batch_factor, way.sheet)
    if outcome.ratios.after is None:
        return None
    sheet = outcome.target.after if outcome.target else None
    return Baked(outcome.lines, outcome.batch_factor, sheet)


def _hero(brief: Brief, baked: Baked | None, way: Way | None, fields: Fields) -> Hero | None:
    if baked is None or way is None:
        return None
    lines = tuple(written_lines(brief, baked))
    start = Proposal(way.code, lines, way.sheet.thickness_mm, way.sheet.chilled)
    return hero_of(brief, start, fields)
