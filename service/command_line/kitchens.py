"""The kitchen commands: trays told and corrected by file, what they taught, and the next bake.

A kitchen is kept by a service: the one that is named, or one of its own on the database. What the
answers say is `service.command_line.kitchen_words`.
"""

import os
from argparse import Namespace
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple, TypeVar, get_args

from httpx import Response
from pydantic import ValidationError

from models.form import KINDS
from models.kitchen import Kitchen, KitchenList
from models.lessons import Lessons
from models.next_bake import NextBake, Preference
from models.trial import StoredTrial
from models.trial_scales import CRACK_GRADES, HANDLING_GRADES, TEXTURE_GRADES
from models.value import Value
from service.client import Formhold
from service.client import Unreachable as NobodyThere
from service.command_line import kitchen_words
from service.command_line.asking import PATIENCE_SECONDS, TRIES, Unreachable
from service.command_line.databases import add_database
from service.command_line.faults import problem_words
from service.command_line.form_arguments import add_dimensions, add_target
from service.command_line.own_service import service_of
from service.command_line.phrases import flat_round, tray
from service.command_line.recipe_files import RecipeFile, read_recipe_file
from service.command_line.requests import next_bake_request, trial_request
from service.exchange.trial_files import MEDIA_TYPES, TrialFileForm, TrialImport
from service.problems import Problem

MOST_A_PAGE = 100
Answer = TypeVar("Answer", bound=Value)


class KitchenRefused(Exception):
    """It cannot be done like this; the text says what to do."""


class Said(NamedTuple):
    """What a command prints, and whether it is what was wished for."""

    lines: list[str]
    will_do: bool = True


def add_kitchen_command(commands: Any) -> None:
    """Add what can be done in kitchens."""
    kitchen = commands.add_parser("kitchen", help="tell a kitchen's bakes, and ask for the next")
    actions = kitchen.add_subparsers(dest="action", metavar="ACTION", required=True)
    for name, (does, _) in _ACTIONS.items():
        action = actions.add_parser(name, help=does)
        action.add_argument("--url", help="ask the service there, with the key in FORMHOLD_KEY")
        action.add_argument("--json", action="store_true", help="print the answer as JSON")
        add_database(action)
        if name == "add":
            action.add_argument("name", help="what the kitchen is called")
        elif name != "list":
            action.add_argument("kitchen", help="its name, or its identity (kit_…)")
        if name in _FURTHER:
            _FURTHER[name](action)


def _tells(action: Any) -> None:
    add = action.add_argument
    add("recipe", help="the dough as it was baked: a text or .json file, or - for standard input")
    add("--form", dest="kind", choices=KINDS, help="what the pieces were laid over")
    add_dimensions(action.add_argument_group("the form's own dimensions"))
    add("--chilled", action="store_true", help="the cut pieces rested cold")
    scale = ", ".join(f"{at} {words}" for at, words in enumerate(CRACK_GRADES))
    add(
        "--tray",
        action="append",
        default=[],
        metavar="L=GRADES",
        type=tray,
        help=f'a thickness with a grade for each piece, "3.5=0,0,1,2s" (s: it slipped): {scale}; '
        "may be given for three thicknesses",
    )
    add(
        "--flat-round",
        metavar="BEFORE:AFTER",
        type=flat_round,
        help='the round beside the pieces, across, before and after: "60:63"; '
        '":3.5" after it is its thickness where that is not the first tray\'s',
    )
    for option, grades in (("handling", HANDLING_GRADES), ("texture", TEXTURE_GRADES)):
        words = ", ".join(f"{at} {grade}" for at, grade in enumerate(grades))
        add(f"--{option}", metavar="N", type=int, help=words)
    add("--note", help="what else there is to say")


def _asks(action: Any) -> None:
    action.add_argument("recipe", help="the dough as first written: a text or .json file, or -")
    add_target(action)
    action.add_argument("--preference", choices=get_args(Preference), help="safer unless told")


def _writes(action: Any) -> None:
    action.add_argument("--svg", metavar="FILE", help="write the picture there")


def _names_file(action: Any) -> None:
    action.add_argument("file", help="NDJSON, a trial a line, or .csv, a piece a row")


def attend(given: Namespace) -> Said:
    """Do what was asked and return what there is to say.

    Raises KitchenRefused, Unreachable or UnreadableFile.
    """
    key = os.environ.get("FORMHOLD_KEY")
    with (
        service_of(given) as url,
        Formhold(url, key, tries=TRIES, patience_seconds=PATIENCE_SECONDS) as formhold,
    ):
        return _ACTIONS[given.action][1](_Service(formhold), given)


class _Service:
    """A service asked, whose refusals end the command."""

    def __init__(self, formhold: Formhold) -> None:
        self._formhold = formhold

    def ask(self, method: str, path: str, file: RecipeFile | None = None, **rest: Any) -> Response:
        try:
            answer = self._formhold.send(method, f"/v1/kitchens{path}", **rest)
        except NobodyThere as error:
            raise Unreachable(f"{error} Start one with: python -m service") from None
        if answer.is_success:
            return answer
        try:
            problem = Problem.model_validate_json(answer.content)
        except ValidationError:
            message = f"What answers at {answer.url} is not this service; check --url."
            raise Unreachable(message) from None
        words = "\n".join(problem_words(problem, file))
        raise Unreachable(words) if answer.status_code >= 500 else KitchenRefused(words)

    def understood(self, answer: Response, kind: type[Answer]) -> Answer:
        try:
            return kind.model_validate_json(answer.content)
        except ValidationError:
            words = "The service answered in words this version does not know; use the same."
            raise Unreachable(words) from None

    def kitchens(self) -> Iterator[Kitchen]:
        path: str | None = f"?limit={MOST_A_PAGE}"
        while path is not None:
            answer = self.ask("GET", path)
            yield from self.understood(answer, KitchenList).kitchens
            after = answer.links.get("next", {}).get("url")
            path = "?" + after.partition("?")[2] if after else None

    def kitchen(self, named: str) -> str:
        """Return the path of a kitchen, named by its identity or by its name."""
        found = [one for one in self.kitchens() if named in {one.id, one.name}]
        if len(found) == 1:
            return f"/{found[0].id}"
        if found:
            which = ", ".join(one.id for one in found)
            raise KitchenRefused(f"{len(found)} kitchens are called {named}: name one by {which}.")
        raise KitchenRefused(
            f"There is no kitchen of yours called {named}; `kitchen list` shows all, "
            "`kitchen add NAME` makes one."
        )


def _list(service: _Service, given: Namespace) -> Said:
    found = tuple(service.kitchens())
    if given.json:
        return Said([KitchenList(kitchens=found).model_dump_json()])
    return Said([f"{one.id}  {one.name}" for one in found] or ["There is no kitchen yet."])


def _add(service: _Service, given: Namespace) -> Said:
    answer = service.ask("POST", "", json={"name": given.name}, stores=True)
    made = service.understood(answer, Kitchen)
    return _said(given, answer, lambda: [f"{made.id}  {made.name}"])


def _log(service: _Service, given: Namespace) -> Said:
    kitchen, file = service.kitchen(given.kitchen), read_recipe_file(given.recipe)
    content = trial_request(file.request, given)
    answer = service.ask("POST", f"{kitchen}/trials", file, json=content, stores=True)
    kept = service.understood(answer, StoredTrial)
    learned = service.understood(service.ask("GET", f"{kitchen}/lessons"), Lessons)
    return _said(given, answer, lambda: kitchen_words.logged_words(kept, learned))


def _next_bake(service: _Service, given: Namespace) -> Said:
    kitchen, file = service.kitchen(given.kitchen), read_recipe_file(given.recipe)
    content = next_bake_request(file.request, given)
    answer = service.ask("POST", f"{kitchen}/next-bake", file, json=content)
    advised = service.understood(answer, NextBake)
    said = _said(given, answer, lambda: kitchen_words.next_bake_words(advised))
    return said._replace(will_do=advised.step != "not_with_this_dough")


def _lessons(service: _Service, given: Namespace) -> Said:
    answer = service.ask("GET", f"{service.kitchen(given.kitchen)}/lessons")
    learned = service.understood(answer, Lessons)
    if given.svg:
        _write(given.svg, learned.svg.encode())
    return _said(given, answer, lambda: kitchen_words.lessons_words(learned))


def _export(service: _Service, given: Namespace) -> Said:
    form = _form_of(given.file)
    answer = service.ask("GET", f"{service.kitchen(given.kitchen)}/export?format={form}")
    _write(given.file, answer.content)
    return Said([f"Every trial of {given.kitchen} is in {given.file}."])


def _import(service: _Service, given: Namespace) -> Said:
    try:
        content = Path(given.file).read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise KitchenRefused(f"{given.file} cannot be read: {reason}.") from None
    path = f"{service.kitchen(given.kitchen)}/import"
    headers = {"Content-Type": MEDIA_TYPES[_form_of(given.file)].partition(";")[0]}
    answer = service.ask("POST", path, content=content, headers=headers, repeatable=True)
    found = service.understood(answer, TrialImport)
    return _said(given, answer, lambda: kitchen_words.import_words(found))._replace(
        will_do=not found.left_out
    )


def _form_of(file: str) -> TrialFileForm:
    return "csv" if Path(file).suffix.lower() == ".csv" else "ndjson"


def _said(given: Namespace, answer: Response, words: Callable[[], list[str]]) -> Said:
    return Said([answer.text] if given.json else words())


def _write(path: str, content: bytes) -> None:
    try:
        Path(path).write_bytes(content)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise KitchenRefused(f"{path} cannot be written: {reason}.") from None


_ACTIONS: dict[str, tuple[str, Callable[[_Service, Namespace], Said]]] = {
    "list": ("show your kitchens", _list),
    "add": ("add a kitchen: an oven and its baker", _add),
    "log": ("tell one tray: the dough, the form and what became of every piece", _log),
    "next-bake": ("ask which dough to bake next, on which sheets, or which to publish", _next_bake),
    "lessons": ("ask what each tray taught", _lessons),
    "export": ("write every trial to a file", _export),
    "import": ("tell the trials of a file; may be done twice", _import),
}
_FURTHER: dict[str, Callable[[Any], None]] = {
    "log": _tells,
    "next-bake": _asks,
    "lessons": _writes,
    "export": _names_file,
    "import": _names_file,
}
