"""Sheets: the thicknesses and chills that a piece may be rolled to, and what each costs.

How a sheet is rolled is a choice like the amounts of the recipe, and the first that the trade
makes: it costs less than any change of the dough.
"""

from dataclasses import dataclass
from fractions import Fraction

from models.exact import exact
from models.target import Target
from models.thickness import thinner_guides
from solver.search.costs import sheet_cost


@dataclass(frozen=True, eq=False)
class Sheet:
    """One way to roll the piece: its target, with nothing left to choose, and its cost.

    Each is one of its target's sheets, and equal to itself alone.
    """

    target: Target
    cost: Fraction


def sheets_of(target: Target) -> tuple[Sheet, ...]:
    """Return every sheet that `target` allows, the least cost first; of equals the thickest."""
    planned = exact(target.thickness_mm)
    down_to = target.may_roll_to_mm
    thinner = () if down_to is None else thinner_guides(target.thickness_mm, down_to)
    chills = (False, True) if target.may_chill and not target.chilled else (False,)
    found = [
        Sheet(
            target.rolled(
                float(thickness) if thickness != planned else target.thickness_mm,
                chilled=target.chilled or chill,
            ),
            sheet_cost(planned, thickness, newly_chilled=chill),
        )
        for thickness in (planned, *thinner)
        for chill in chills
    ]
    return tuple(sorted(found, key=lambda sheet: (sheet.cost, -sheet.target.thickness_mm)))
