"""Knowing a kitchen: what its trials have taught, learned when it is first asked for.

Learning takes half a second and depends on the trials alone, so it is remembered by their versions.
What is learned is `solver.mechanics.lessons`.
"""

import threading
from collections import Counter, OrderedDict
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple, TypeAlias

from pydantic import ValidationError

from models.errors import BadInput, Fault
from models.form import AnyForm
from models.learning import Baked, Handled, Taught
from models.ratios import ratio_of
from models.trial import StoredTrial, Trial
from service.store import trials
from service.store.database import Database
from service.store.refusals import NotThere
from solver.mechanics.lessons import Learned, learn

REMEMBERED = 32
"""Kitchens; each is some hundred kilobytes."""

Knowing: TypeAlias = Callable[[str], Taught]
"""Whoever tells what the kitchen of a name has learned; raises BadInput for one that is not the
caller's."""


class Known(NamedTuple):
    """A kitchen's trials that could be read, what they taught, and the same to send along."""

    told: tuple[StoredTrial, ...]
    learned: Learned
    taught: Taught


def knows_no_kitchen(name: str) -> Taught:
    """Refuse: whoever works alone keeps no kitchens."""
    message = "needs the service that keeps it; ask one with --url, or leave the kitchen out"
    raise BadInput([Fault(pointer="/kitchen", message=message)])


def taught_in(database: Database, caller_id: str, kitchen_id: str) -> Taught:
    """Return what a kitchen has learned; raise BadInput where it is none of the caller's."""
    try:
        return known_of(database, caller_id, kitchen_id).taught
    except NotThere:
        message = "is no kitchen of yours; GET /v1/kitchens lists them"
        raise BadInput([Fault(pointer="/kitchen", message=message)]) from None


def known_of(database: Database, caller_id: str, kitchen_id: str) -> Known:
    """Return a kitchen's trials and what they teach; raise NotThere."""
    with database.reading() as connection:
        stored = tuple(trials.each_trial(connection, caller_id, kitchen_id))
    key = (kitchen_id, *((one.id, one.version) for one in stored))
    with _lock:
        if key in _remembered:
            _remembered.move_to_end(key)
            return _remembered[key]
    known = _learn(kitchen_id, stored)
    with _lock:
        _remembered[key] = known
        while len(_remembered) > REMEMBERED:
            _remembered.popitem(last=False)
    return known


_remembered: "OrderedDict[tuple[object, ...], Known]" = OrderedDict()
_lock = threading.Lock()


def _learn(kitchen_id: str, stored: Sequence[StoredTrial]) -> Known:
    readable = [(one, trial) for one in stored if (trial := _read(one)) is not None]
    told = [trial for _, trial in readable]
    learned = learn(told)
    taught = Taught(
        kitchen_id=kitchen_id,
        trials=len(told),
        pieces=sum(len(sheet.pieces) for trial in told for sheet in trial.sheets),
        rounds=sum(trial.flat_round is not None for trial in told),
        tally_share=learned.tally_share,
        middle=tuple(learned.belief.middle.tolist()),
        spread=tuple(map(tuple, learned.belief.spread.tolist())),
        baked=tuple(_baked(told)),
        handled=tuple(_handled(told)),
    )
    return Known(tuple(one for one, _ in readable), learned, taught)


def _read(stored: StoredTrial) -> Trial | None:
    """Return a trial; None for one that was kept when another table of ingredients read it."""
    try:
        return Trial.model_validate(stored.trial, strict=False)
    except ValidationError:
        return None


def _baked(told: Sequence[Trial]) -> Iterator[Baked]:
    pieces: Counter[tuple[AnyForm, float]] = Counter()
    cracked: Counter[tuple[AnyForm, float]] = Counter()
    slid: Counter[tuple[AnyForm, float]] = Counter()
    for trial in told:
        for sheet in trial.sheets:
            at = (trial.form, sheet.thickness_mm)
            pieces[at] += len(sheet.pieces)
            cracked[at] += sum(piece.crack_grade >= 2 for piece in sheet.pieces)
            slid[at] += sum(piece.slipped for piece in sheet.pieces)
    for at, count in pieces.items():
        form, thickness = at
        yield Baked(
            form=form, thickness_mm=thickness, pieces=count, cracked=cracked[at], slid=slid[at]
        )


def _handled(told: Sequence[Trial]) -> Iterator[Handled]:
    for trial in told:
        masses = trial.formula.masses
        liquid, wet = (ratio_of(name, masses) for name in ("liquid_per_flour", "wet_per_flour"))
        if trial.handling is not None and liquid is not None and wet is not None:
            yield Handled(
                liquid_per_flour=float(liquid), wet_per_flour=float(wet), grade=trial.handling
            )
