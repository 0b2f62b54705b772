"""The bake-sheet command: a comparison to bake, as people read it on a screen."""

from models.bake_sheet import BakeSheet, TestBatch
from models.chance import chance_figure
from service.command_line.layout import columns, points


def bake_sheet_words(sheet: BakeSheet) -> list[str]:
    """Return a bake sheet as people read it; the page to print is its drawing."""
    return [
        f"{sheet.title}: {sheet.pieces} pieces a tray, {sheet.batch_factor:.3g} of the recipe",
        "",
        *columns(("", "as written", "to try"), _rows(sheet)),
        *points("What differs", sheet.differs),
        *points("Hold equal", (*sheet.held_equal, sheet.flat_round)),
        *points("Notes", sheet.notes),
        *points("Cautions", (f"{c.text} [{c.source}]" for c in sheet.cautions)),
    ]


def _rows(sheet: BakeSheet) -> list[tuple[str, str, str]]:
    control, variant = sheet.control, sheet.variant
    tried = {line.ingredient: line.measure for line in variant.lines} if variant else {}
    rows = [
        (line.ingredient, line.measure, tried.get(line.ingredient, "")) for line in control.lines
    ]
    rows.append(("rolled to", control.thickness, variant.thickness if variant else ""))
    rows.append(("chance of a crack", _chance(control), _chance(variant) if variant else ""))
    return rows


def _chance(batch: TestBatch) -> str:
    return (
        "not known" if batch.chance_percent is None else chance_figure(batch.chance_percent.value)
    )
