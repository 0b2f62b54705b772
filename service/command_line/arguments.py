"""The arguments of every command, and what they say of themselves."""

import argparse
from collections.abc import Sequence
from typing import Any, get_args

from models.form import KINDS
from models.measures import MeasureSystem
from models.ratios import RATIOS
from service.command_line.databases import add_database, add_database_commands
from service.command_line.form_arguments import LENGTH, add_dimensions, add_target
from service.command_line.keys import add_key_commands
from service.command_line.kitchens import add_kitchen_command
from service.command_line.phrases import (
    edit,
    length,
    named_number,
    number,
    number_range,
    ratio_range,
)
from service.command_line.runs import add_engine_options, add_worker_command
from service.command_line.settings import add_settings
from service.drawings.pages import PAPERS
from service.questions.ingredient_table import MOST_ENTRIES
from service.settings import Settings

_RECIPE = """\
A recipe is a text file with one ingredient a line ("3 1/2 cups all-purpose flour"); a line that
begins with "# " is its title, and "-" reads standard input. A .json file holds a recipe, or a whole
request as the HTTP service takes it; options are added to it."""

_EXIT_CODES = """\
Ends with 0 for an answer, 1 where no change will do or time ran out, 2 where the input must be
mended, 3 where the service does not answer."""

_EDIT = """\
an edit: "unsalted butter=-10%%", "molasses=100 g", "+whole milk=20 g" for what is not in the
recipe yet, or "unsalted butter->vegetable shortening@fat" (as much as brings equal fat; without
@fat, the same weight); may be given again"""


_MEASURES_HELP = "as written (unless told), cups, millilitre spoons or the scale"


def parser() -> argparse.ArgumentParser:
    """Return the parser of the whole command line."""
    whole = argparse.ArgumentParser(
        prog="python -m service",
        description="Reformulate doughs so that they hold their shape; without a command, serve.",
        epilog=_EXIT_CODES,
    )
    commands = whole.add_subparsers(dest="command", metavar="COMMAND")
    _add_serve(commands)
    _add_reformulate(commands)
    _add_ratios(commands)
    _add_what_if(commands)
    _add_template(commands)
    _add_ladder(commands)
    _add_bake_sheet(commands)
    _add_run(commands)
    add_worker_command(commands)
    add_kitchen_command(commands)
    _add_ingredients(commands)
    commands.add_parser("demo", help="show one dough reformulated by a service of its own")
    add_key_commands(commands)
    add_database_commands(commands)
    whole.set_defaults(**vars(commands.choices["serve"].parse_args([])))
    return whole


def with_command(arguments: Sequence[str]) -> list[str]:
    """Return the arguments with the command that they leave out: `--port 8080` means to serve."""
    serving = arguments and arguments[0].startswith("-") and arguments[0] not in {"-h", "--help"}
    return ["serve", *arguments] if serving else list(arguments)


def _add_serve(commands: Any) -> None:
    serve = commands.add_parser("serve", help="answer over HTTP until stopped")
    add_settings(serve)


def _add_reformulate(commands: Any) -> None:
    reformulate = _asking(commands, "reformulate", "change a dough as little as can be")
    _add_brief(reformulate)


def _add_run(commands: Any) -> None:
    run = commands.add_parser(
        "run", help="reformulate every recipe of a catalogue", epilog=_EXIT_CODES
    )
    add = run.add_argument
    add("catalogue", help="a catalogue's name (cat_…), or a .csv, .ndjson, .jsonld or .html file")
    add("--url", help="ask the service there, with the key in FORMHOLD_KEY; else one is started")
    add("--out", metavar="FILE", help="write every recipe's answer there: NDJSON, or .csv")
    add_database(run)
    add_engine_options(run)
    _add_brief(run)


def _add_brief(asking: argparse.ArgumentParser) -> None:
    _add_bounds(asking)
    add = asking.add_argument
    add("--weight", **_again, metavar="ROLE=WEIGHT", type=named_number, help="what a change costs")
    add(
        "--measures",
        choices=get_args(MeasureSystem),
        help="as written (unless told), cups, millilitre spoons or the scale",
    )
    size = asking.add_mutually_exclusive_group()
    size.add_argument("--batch-factor", metavar="N", type=number, help="scale the recipe")
    size.add_argument("--batch-dough-grams", metavar="G", type=number, help="scale to this dough")
    size.add_argument("--batch-flour-grams", metavar="G", type=number, help="scale to this flour")
    add_target(asking)
    size.add_argument("--batch-pieces", metavar="N", type=int, help="as many pieces of --form")


def _add_ladder(commands: Any) -> None:
    ladder = _asking(commands, "ladder", "show the ways to make a dough hold on a form")
    _add_bounds(ladder)
    add_target(ladder)
    ladder.add_argument("--measures", choices=get_args(MeasureSystem), help="as for reformulate")
    ladder.add_argument("--points", metavar="N", type=int, help="of the trade-off, 8 to 20 (12)")
    ladder.add_argument("--svg", metavar="FILE", help="write the chart there")


def _add_bake_sheet(commands: Any) -> None:
    sheet = _asking(commands, "bake-sheet", "plan a fair comparison to bake, on a page to print")
    _add_bounds(sheet)
    add_target(sheet)
    add = sheet.add_argument
    add("--measures", choices=get_args(MeasureSystem), help="as for reformulate")
    add("--pieces", metavar="N", type=int, help="on each tray (4)")
    add("--variant", metavar="FILE", help="a recipe to try; else the smallest change that will do")
    add("--variant-thickness", metavar="L", type=length, help="the variant's sheet, " + LENGTH)
    add("--log-address", metavar="URL", help="printed as a code: where the outcome is logged")
    add("--paper", choices=PAPERS, help="what it is printed on (a4)")
    add("--svg", metavar="FILE", help="write the page there")


def _add_ratios(commands: Any) -> None:
    ratios = _asking(commands, "ratios", "weigh a recipe")
    _add_powder_strength(ratios)


def _add_what_if(commands: Any) -> None:
    what_if = _asking(commands, "what-if", "judge edits to a recipe")
    what_if.add_argument("--edit", **_again, metavar="EDIT", type=edit, help=_EDIT)
    _add_bounds(what_if)
    add_target(what_if)


def _add_template(commands: Any) -> None:
    template = commands.add_parser(
        "template", help="draw the flat piece to cut for a form", epilog=_EXIT_CODES
    )
    add = template.add_argument
    add("--form", dest="kind", choices=KINDS, required=True, help="what it is laid over")
    add("--thickness", dest="thickness_mm", metavar="L", type=length, required=True, help=LENGTH)
    add("--pieces", metavar="N", type=int, help="how many (1)")
    add("--trimmings-percent", metavar="N", type=number, help="dough beyond the pieces (15)")
    add("--density", dest="density_g_per_cm3", metavar="N", type=number, help="g/cm³ (1.26)")
    add("--paper", choices=PAPERS, help="what it is printed on (a4)")
    add("--svg", metavar="FILE", help="write the drawing there")
    add_dimensions(template.add_argument_group("the form's own dimensions"))
    _add_answering(template)
    _add_solve_seconds(template)


def _add_ingredients(commands: Any) -> None:
    ingredients = commands.add_parser("ingredients", help="search the ingredients")
    ingredients.add_argument("query", nargs="?", default="", help="a name, or part of one")
    ingredients.add_argument(
        "--limit", type=int, default=20, help=f"at most so many (%(default)s; {MOST_ENTRIES} most)"
    )
    _add_answering(ingredients)


_again: dict[str, Any] = {"action": "append", "default": []}


def _asking(commands: Any, name: str, does: str) -> argparse.ArgumentParser:
    asking: argparse.ArgumentParser = commands.add_parser(
        name, help=does, description=_RECIPE, epilog=_EXIT_CODES
    )
    asking.add_argument("recipe", help="a text or .json file, or - for standard input")
    _add_answering(asking)
    _add_solve_seconds(asking)
    return asking


def _add_answering(asking: argparse.ArgumentParser) -> None:
    asking.add_argument("--json", action="store_true", help="print the answer as JSON")
    asking.add_argument("--url", help="ask the service there instead of this process")


def _add_solve_seconds(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--solve-seconds",
        metavar="S",
        type=number,
        default=Settings.solve_seconds,
        help="how long an answer may take (%(default)s)",
    )


def _add_powder_strength(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--powder-strength", metavar="N", type=number, help="grams of soda to one of baking powder"
    )


def _add_bounds(asking: argparse.ArgumentParser) -> None:
    window = asking.add_argument_group("where the ratios must land, as MIN:MAX, MIN: or :MAX")
    for ratio in RATIOS:
        option = f"--{ratio.replace('_', '-')}"
        window.add_argument(option, dest=ratio, metavar="RANGE", type=number_range)
    add = asking.add_argument_group("what must not be given up").add_argument
    add("--limit", **_again, metavar="RATIO=RANGE", type=ratio_range, help="hold a ratio")
    add("--keep", **_again, metavar="NAME", help="leave an ingredient as it is")
    add("--max-flour-change-percent", metavar="N", type=number, help="20 where not given")
    add("--max-change-percent", **_again, metavar="NAME=N", type=named_number)
    add("--may-add", **_again, metavar="NAME", help="an ingredient that may enter")
    add("--kitchen", metavar="NAME", help="answer by its trays; ask the service that keeps it")
    _add_powder_strength(asking)
