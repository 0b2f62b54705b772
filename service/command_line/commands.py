"""The commands: each turns arguments into a question, and the reply into words and an exit code.

Nothing but the answer goes to standard output; everything else is said on standard error.
"""

import os
import sys
from argparse import Namespace
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from models.bake_sheet import BakeSheet
from models.errors import BadInput
from models.outcome import Outcome
from models.value import Value
from models.weighing import Weighing
from models.what_if import Judgement
from service.command_line import databases, tables
from service.command_line.arguments import parser, with_command
from service.command_line.asking import PATIENCE_SECONDS, Reply, Unreachable, ask, ask_here, fetch
from service.command_line.bake_sheet import bake_sheet_words
from service.command_line.faults import problem_words
from service.command_line.keys import NoSuchKey, tend_keys
from service.command_line.ladder import ladder_words
from service.command_line.recipe_files import RecipeFile, UnreadableFile, read_recipe_file
from service.command_line.requests import (
    bake_sheet_request,
    ladder_request,
    ratios_request,
    reformulation_request,
    run_request,
    what_if_request,
)
from service.command_line.runs import RunRefused, run_over_catalogue, work_for_others
from service.command_line.settings import settings_of
from service.command_line.template import template_request, template_words
from service.problems import Problem
from service.questions.ingredient_table import IngredientQuery, IngredientSearch, search
from service.questions.ladders import DrawnLadder
from service.questions.question import (
    BAKE_SHEET,
    LADDER,
    RATIOS,
    REFORMULATION,
    TEMPLATE,
    WHAT_IF,
    Question,
)
from service.questions.templates import DrawnTemplate

ANSWERED, NO_CHANGE_WILL_DO, BAD_INPUT, NO_SERVICE = 0, 1, 2, 3
"""The exit codes."""
INTERRUPTED = 130  # as shells have it

Answer = TypeVar("Answer", bound=Value)


class Stopped(Exception):
    """A command ends without an answer; its text says why."""

    def __init__(self, words: str, code: int) -> None:
        """Keep the words for standard error, and the exit code."""
        super().__init__(words)
        self.code = code


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command and return its exit code."""
    given = parser().parse_args(with_command(sys.argv[1:] if arguments is None else arguments))
    try:
        return _COMMANDS[given.command](given)
    except UnreadableFile as mendable:
        return _say(str(mendable), BAD_INPUT)
    except Unreachable as unreachable:
        return _say(str(unreachable), NO_SERVICE)
    except Stopped as stopped:
        return _say(str(stopped), stopped.code)
    except KeyboardInterrupt:
        return INTERRUPTED


def _serve(given: Namespace) -> int:
    # Imported here: without a web server and a database the other commands start much sooner.
    from service.serving import CannotListen, serve
    from service.store.database import DatabaseUnusable

    settings = settings_of(given)
    who = _NO_KEY_NEEDED if settings.is_single_user else _KEYS_NEEDED
    try:
        serve(settings, lambda url: _print([f"Formhold answers at {url}", who]))
    except (CannotListen, DatabaseUnusable) as mendable:
        raise Stopped(str(mendable), BAD_INPUT) from None
    return ANSWERED


_NO_KEY_NEEDED = "It is for one person: no API key is asked for, and what is stored is theirs."
_KEYS_NEEDED = "To store anything takes an API key: python -m service keys create NAME"


def _tend(work: Callable[[Namespace], Iterable[str]]) -> Callable[[Namespace], int]:
    """Return the command that does `work` on the database and prints what it says."""

    def run(given: Namespace) -> int:
        from service.store.backups import CannotBackUp
        from service.store.database import DatabaseUnusable
        from service.store.moving import CannotMove

        try:
            _print(work(given))
        except (DatabaseUnusable, CannotBackUp, CannotMove, NoSuchKey, RunRefused) as mendable:
            raise Stopped(str(mendable), BAD_INPUT) from None
        return ANSWERED

    return run


def _run(given: Namespace) -> int:
    try:
        run, words = run_over_catalogue(given, run_request(given))
    except RunRefused as mendable:
        raise Stopped(str(mendable), BAD_INPUT) from None
    _print(words)
    has_answers = run.done == run.outcomes["unchanged"] + run.outcomes["reformulated"]
    return ANSWERED if run.state == "finished" and has_answers else NO_CHANGE_WILL_DO


def _attend(given: Namespace) -> int:
    from service.command_line.kitchens import KitchenRefused, attend

    try:
        said = attend(given)
    except KitchenRefused as mendable:
        raise Stopped(str(mendable), BAD_INPUT) from None
    _print(said.lines)
    return ANSWERED if said.will_do else NO_CHANGE_WILL_DO


def _demonstrate(_: Namespace) -> int:
    from service.command_line.demo import demonstrate

    return demonstrate(_print)


def _reformulate(given: Namespace) -> int:
    file = read_recipe_file(given.recipe)
    reply = _ask(REFORMULATION, reformulation_request(file.request, given), given, file)
    outcome = _understand(reply, Outcome)
    _show(reply, tables.outcome_words(outcome), given)
    return ANSWERED if outcome.outcome in {"unchanged", "reformulated"} else NO_CHANGE_WILL_DO


def _climb(given: Namespace) -> int:
    file = read_recipe_file(given.recipe)
    reply = _ask(LADDER, ladder_request(file.request, given), given, file)
    drawn = _understand(reply, DrawnLadder)
    if given.svg:
        _write(given.svg, drawn.svg)
    _show(reply, ladder_words(drawn.ladder), given)
    return ANSWERED if any(rung.reaches for rung in drawn.ladder.rungs) else NO_CHANGE_WILL_DO


def _plan_bake(given: Namespace) -> int:
    file = read_recipe_file(given.recipe)
    variant = read_recipe_file(given.variant).request if given.variant else None
    reply = _ask(BAKE_SHEET, bake_sheet_request(file.request, variant, given), given, file)
    planned = _understand(reply, BakeSheet)
    if given.svg:
        _write(given.svg, planned.svg)
    _show(reply, bake_sheet_words(planned), given)
    return ANSWERED if planned.variant else NO_CHANGE_WILL_DO


def _weigh(given: Namespace) -> int:
    file = read_recipe_file(given.recipe)
    reply = _ask(RATIOS, ratios_request(file.request, given), given, file)
    _show(reply, tables.weighing_words(_understand(reply, Weighing)), given)
    return ANSWERED


def _judge(given: Namespace) -> int:
    file = read_recipe_file(given.recipe)
    reply = _ask(WHAT_IF, what_if_request(file.request, given), given, file)
    _show(reply, tables.judgement_words(_understand(reply, Judgement)), given)
    return ANSWERED


def _draw_template(given: Namespace) -> int:
    reply = _ask(TEMPLATE, template_request(given), given, None)
    drawn = _understand(reply, DrawnTemplate)
    if given.svg:
        _write(given.svg, drawn.svg)
    _show(reply, template_words(drawn), given)
    return ANSWERED


def _write(path: str, text: str) -> None:
    try:
        Path(path).write_text(text, encoding="utf-8")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise Stopped(f"{path} cannot be written: {reason}.", BAD_INPUT) from None


def _search(given: Namespace) -> int:
    asked = {"query": given.query, "limit": given.limit}
    if given.url:
        reply = fetch("GET", given.url, "/v1/ingredients", PATIENCE_SECONDS, params=asked)
    else:
        reply = ask_here(lambda: _found(asked))
    _show(_checked(reply, None), tables.search_words(_understand(reply, IngredientSearch)), given)
    return ANSWERED


def _found(asked: dict[str, Any]) -> bytes:
    try:
        return search(IngredientQuery.model_validate(asked)).model_dump_json().encode()
    except ValidationError as invalid:
        raise BadInput.of(invalid) from None


_COMMANDS: dict[str | None, Callable[[Namespace], int]] = {
    None: _serve,
    "serve": _serve,
    "reformulate": _reformulate,
    "ratios": _weigh,
    "what-if": _judge,
    "template": _draw_template,
    "ladder": _climb,
    "bake-sheet": _plan_bake,
    "kitchen": _attend,
    "ingredients": _search,
    "run": _run,
    "worker": _tend(work_for_others),
    "demo": _demonstrate,
    "keys": _tend(tend_keys),
    "migrate": _tend(databases.migrate),
    "backup": _tend(databases.back_up),
    "migrate-database": _tend(databases.move_database),
}


def _ask(
    question: Question[Any], request: dict[str, Any], given: Namespace, file: RecipeFile | None
) -> Reply:
    return _checked(ask(question, request, given.url, given.solve_seconds), file)


def _checked(reply: Reply, file: RecipeFile | None) -> Reply:
    """Return the reply if it is an answer; raise Stopped with what it says otherwise."""
    if reply.status == 200:
        return reply
    words = "\n".join(problem_words(_understand(reply, Problem), file))
    mendable = reply.status in {400, 404, 413, 415, 422}
    raise Stopped(words, BAD_INPUT if mendable else NO_SERVICE)


def _understand(reply: Reply, answer: type[Answer]) -> Answer:
    try:
        return answer.model_validate_json(reply.content)
    except ValidationError:
        words = "The service answered in words this version does not know; use the same version."
        raise Stopped(words, NO_SERVICE) from None


def _show(reply: Reply, words: Iterable[str], given: Namespace) -> None:
    _print([reply.content.decode()] if given.json else words)


def _print(lines: Iterable[str]) -> None:
    try:
        sys.stdout.write("".join(f"{line}\n" for line in lines))
        sys.stdout.flush()
    except BrokenPipeError:
        # The reader has seen enough (`| head`). What is left to flush at exit goes nowhere.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _say(words: str, code: int) -> int:
    sys.stderr.write(f"{words}\n")
    return code
