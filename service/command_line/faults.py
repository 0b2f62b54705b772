"""Faults in words: each where it stands in the file or on the command line, and what to do."""

from collections.abc import Iterator

from models.ratios import RATIOS
from service.command_line.layout import plain
from service.command_line.recipe_files import RecipeFile
from service.command_line.template import OPTIONS as DIMENSIONS
from service.problems import Problem

_OPTIONS = {
    "limits/keep": "--keep",
    "limits/may_add": "--may-add",
    "limits/max_flour_change_percent": "--max-flour-change-percent",
    "limits/max_change_percent": "--max-change-percent",
    **{f"limits/{ratio}": f"--limit {ratio.replace('_', '-')}" for ratio in RATIOS},
    **{f"window/{ratio}": f"--{ratio.replace('_', '-')}" for ratio in RATIOS},
    "weights": "--weight",
    "batch": "--batch-…",
    "powder_strength": "--powder-strength",
    "edits": "--edit",
    "query/limit": "--limit",
    **{f"target/form/{member}": f"--{option}" for member, option in DIMENSIONS.items()},
    "target/thickness_mm": "--thickness",
    "target/may_roll_to_mm": "--may-roll-to",
    "window/crack_chance_percent": "--crack-chance-percent",
    "round_test": "--round",
    **{f"form/{member}": f"--{option}" for member, option in DIMENSIONS.items()},
    "form": "--form",
    "sheets": "--tray",
    "flat_round": "--flat-round",
    "handling": "--handling",
    "texture": "--texture",
    "pieces": "--pieces",
    "trimmings_percent": "--trimmings-percent",
    "density_g_per_cm3": "--density",
}


def problem_words(problem: Problem, file: RecipeFile | None) -> Iterator[str]:
    """Yield what is wrong and what to do about it."""
    if not problem.errors:
        yield f"{problem.title}. {problem.detail}"
        return
    count = len(problem.errors)
    yield f"{count} thing{'s' if count != 1 else ''} to mend:"
    for fault in problem.errors:
        where = _place(fault.pointer.removeprefix("/"), file)
        yield plain(f"  {where}: {fault.message}" if where else f"  {fault.message}")


def _place(steps: str, file: RecipeFile | None) -> str:
    if file is not None and file.lines and steps.startswith("recipe/lines/"):
        position = steps.split("/")[2]
        if position.isdigit() and int(position) < len(file.lines):
            return f"{file.name}, line {file.lines[int(position)].number}"
    option = next((_OPTIONS[known] for known in _OPTIONS if steps.startswith(known)), None)
    return option or steps.replace("~1", "/").replace("~0", "~")
