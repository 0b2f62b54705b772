"""Trials become trays with a history: what was told of one piece is a tray of one piece.

Grades keep their number. A round's growth that no round shows goes into the trial's note.
"""

from collections.abc import Iterator
from typing import Any

from alembic import op
from sqlalchemy import (
    JSON,
    Column,
    DateTime,
    ForeignKey,
    Integer,
    PrimaryKeyConstraint,
    String,
    column,
    insert,
    select,
    table,
)

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_OLD = table("trials", column("id"), column("trial", JSON), column("created_at", DateTime(True)))
_AT_ONCE = 500


def upgrade() -> None:
    """Give kitchens and trials what a correction and a deletion need, and carry the trials over."""
    op.add_column("kitchens", Column("deleted_at", DateTime(timezone=True)))
    op.add_column("trials", Column("version", Integer, nullable=False, server_default="1"))
    op.add_column("trials", Column("deleted_at", DateTime(timezone=True)))
    versions = op.create_table(
        "trial_versions",
        Column("trial_id", String(32), ForeignKey("trials.id"), nullable=False),
        Column("version", Integer, nullable=False),
        Column("trial", JSON, nullable=False),
        Column("created_at", DateTime(timezone=True), nullable=False),
        PrimaryKeyConstraint("trial_id", "version"),
    )
    for rows in _batches():
        op.get_bind().execute(insert(versions), rows)
    op.drop_column("trials", "trial")


def tray_of(old: dict[str, Any]) -> dict[str, Any]:
    """Return a trial of one piece as the tray that it was."""
    target, outcome = old["target"], old["outcome"]
    kept: dict[str, Any] = {
        name: old[name]
        for name in ("recipe", "powder_strength", "reading", "baked_at")
        if name in old
    }
    thickness = target["thickness_mm"]
    piece: dict[str, Any] = {
        name: outcome[name] for name in ("crack_grade", "slipped") if name in outcome
    }
    tray: dict[str, Any] = {
        **kept,
        "form": target["form"],
        "sheets": [{"thickness_mm": thickness, "pieces": [piece]}],
    }
    if "chilled" in target:
        tray["chilled"] = target["chilled"]
    notes = [old["note"]] if old.get("note") else []
    grown = outcome.get("flat_round")
    if grown:
        before, after = grown["diameter_mm"], grown["diameter_mm"] + grown["growth_mm"]
        if 20 <= before <= 300 and 0.8 * before <= after <= 3 * before:
            tray["flat_round"] = {
                "thickness_mm": thickness,
                "before_mm": before,
                "after_mm": after,
            }
        else:
            said = f"{before:g} mm is said to have grown {grown['growth_mm']:g} mm."
            notes.append(f"A flat round of {said}")
    if piece.get("slipped") and target["form"]["kind"] in {"flat_round", "flat_panel"}:
        piece["slipped"] = False
        notes.append("The piece is said to have slid.")
    if notes:
        tray["note"] = "\n".join(notes)
    return tray


def _batches() -> Iterator[list[dict[str, Any]]]:
    after = ""
    while True:
        query = select(_OLD).where(_OLD.c.id > after).order_by(_OLD.c.id).limit(_AT_ONCE)
        found = op.get_bind().execute(query).all()
        if not found:
            return
        yield [
            {
                "trial_id": row.id,
                "version": 1,
                "trial": tray_of(row.trial),
                "created_at": row.created_at,
            }
            for row in found
        ]
        after = found[-1].id
