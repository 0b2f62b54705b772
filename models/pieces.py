"""Pieces: what a batch cut into so many takes and gives, and how many lie on a tray.

How large such a batch must be is `models.batch`; the piece itself is `models.template`.
"""

import math

from models.batch import Batch
from models.target import Target
from models.template import template
from models.value import Value

TRAYS_MM = ((600.0, 400.0), (457.0, 330.0))
"""The tray of the trade's racks, and a half sheet (18 by 13 in). From memory."""

BETWEEN_PIECES_MM = 10.0
"""A sheet grows as it bakes, and pieces are lifted one by one. Common practice, no source."""


class TrayHolds(Value):
    """A tray, and how many pieces lie on it flat, side by side, all turned the same way."""

    length_mm: float
    width_mm: float
    pieces: int


class BatchOfPieces(Value):
    """What the pieces of a batch take, and what its dough gives.

    `needed_grams` is the dough of all pieces with trimmings, from the sheet as proposed;
    `dough_grams` is the dough of the answer, and `enough_for` how many pieces it makes.
    """

    pieces: int
    grams_per_piece: float
    trimmings_percent: float
    needed_grams: float
    dough_grams: float
    enough_for: int
    trays: tuple[TrayHolds, ...]

    @property
    def words(self) -> str:
        """The same in a sentence."""
        trays = " or ".join(
            f"{tray.pieces} on a tray of {tray.length_mm:g} by {tray.width_mm:g} mm"
            for tray in self.trays
        )
        return (
            f"{self.dough_grams:,.0f} g of dough are enough for {self.enough_for} pieces of "
            f"{self.grams_per_piece:.0f} g with {self.trimmings_percent:g} % for trimmings; laid "
            f"flat, {trays}."
        )


def pieces_of(batch: Batch, target: Target, dough_grams: float) -> BatchOfPieces:
    """Return what `batch` takes from the sheet of `target`, and what so much dough gives."""
    assert batch.pieces is not None, "asked of a batch of pieces"
    piece = template(target)
    each = piece.dough_grams_per_piece * (1 + batch.trimmings / 100)
    return BatchOfPieces(
        pieces=batch.pieces,
        grams_per_piece=piece.dough_grams_per_piece,
        trimmings_percent=batch.trimmings,
        needed_grams=batch.pieces * each,
        dough_grams=dough_grams,
        enough_for=math.floor(dough_grams / each),
        trays=tuple(
            TrayHolds(
                length_mm=length,
                width_mm=width,
                pieces=max(
                    _fit(length, piece.width_mm) * _fit(width, piece.height_mm),
                    _fit(length, piece.height_mm) * _fit(width, piece.width_mm),
                ),
            )
            for length, width in TRAYS_MM
        ),
    )


def _fit(tray_mm: float, piece_mm: float) -> int:
    return math.floor((tray_mm + BETWEEN_PIECES_MM) / (piece_mm + BETWEEN_PIECES_MM))
