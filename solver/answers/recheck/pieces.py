"""What an answer promises of a batch cut into pieces: its size, and what is said of the pieces."""

import math
from collections.abc import Iterator
from fractions import Fraction

from models.brief import Brief
from models.exact import exact
from models.flat_piece import flat_piece
from models.formula import Formula
from models.outcome import Outcome
from models.outline import Outline
from models.pieces import TrayHolds

GRAMS_PER_CM3 = Fraction("1.26")
USUAL_TRIMMINGS_PERCENT = 15
GAP_MM = 10
CLOSE = 1e-9
"""Of a number shown as a float, as a share of it."""


def factor_again(shown: float, formula: Formula) -> Fraction:
    """Return the factor that `shown` stands for: at which the recipe's eggs are whole, if any."""
    denominator = 1
    eggs = []
    for line in formula.lines:
        if line.role == "egg" and line.grams and line.ingredient.grams_per_unit:
            count = line.grams / exact(line.ingredient.grams_per_unit)
            eggs.append(count)
            denominator *= count.denominator
    if not eggs:
        return exact(shown)
    step = Fraction(denominator, math.gcd(*(int(count * denominator) for count in eggs)))
    return round(exact(shown) / step) * step


def piece_faults(brief: Brief, outcome: Outcome, dough_grams: Fraction | int) -> Iterator[str]:
    """Yield what is said of the pieces and is not so, or that they have too little dough."""
    batch, shown = brief.batch, outcome.pieces
    if batch is None or batch.pieces is None or brief.target is None:
        if shown is not None:
            yield "pieces are told of, and none were asked for"
        return
    if shown is None or outcome.target is None or outcome.target.after is None:
        yield "nothing is said of the pieces"
        return
    trimmings = batch.trimmings_percent
    if trimmings is None:
        trimmings = USUAL_TRIMMINGS_PERCENT
    thickness_mm = outcome.target.after.thickness_mm
    piece = flat_piece(brief.target.rolled(thickness_mm, chilled=False))
    each = piece.area * thickness_mm / 1000 * float(GRAMS_PER_CM3)
    with_trimmings = each + each * trimmings / 100
    told = {
        "grams_per_piece": each,
        "trimmings_percent": trimmings,
        "needed_grams": batch.pieces * with_trimmings,
        "dough_grams": float(dough_grams),
    }
    for name, value in told.items():
        if not math.isclose(getattr(shown, name), value, rel_tol=CLOSE):
            yield f"the pieces' {name} is {value}, not {getattr(shown, name)}"
    if shown.pieces != batch.pieces:
        yield f"{batch.pieces} pieces were asked for"
    whole = float(dough_grams) / with_trimmings
    if not whole * (1 - CLOSE) - 1 < shown.enough_for <= whole * (1 + CLOSE):
        yield f"the dough is enough for {whole}, not {shown.enough_for}"
    if outcome.outcome != "unfinished" and shown.enough_for < batch.pieces:
        yield f"the dough is not enough for {batch.pieces} pieces"
    for tray in shown.trays:
        yield from _tray_faults(tray, piece.outline)


def _tray_faults(tray: TrayHolds, piece: Outline) -> Iterator[str]:
    sides = (piece.width_mm, piece.height_mm)
    holds = max(
        _along(tray.length_mm, sides[turned]) * _along(tray.width_mm, sides[1 - turned])
        for turned in (0, 1)
    )
    if tray.pieces != holds:
        yield f"a tray of {tray.length_mm} by {tray.width_mm} mm holds {holds}"


def _along(tray_mm: float, piece_mm: float) -> int:
    """Return how many pieces lie in a row with a gap between each two."""
    count = 0
    while (count + 1) * piece_mm + count * GAP_MM <= tray_mm:
        count += 1
    return count
