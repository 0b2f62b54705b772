"""What a kitchen has learned, as an answer: each tray in words, how chances came true, a picture.

The lessons themselves are `solver.mechanics.lessons`.
"""

import math
from collections.abc import Iterable, Iterator
from itertools import pairwise

import numpy as np

from models.lessons import Calibrated, Lessons, TrayLesson
from models.target import LEAST_THICKNESS_MM
from models.trial import Trial, TrialSheet
from models.trial_scales import CRACK_GRADES
from service.drawings.lessons import ChanceAt, Learning, Seen, draw_learning
from service.questions.knowing import Known
from solver.answers.kitchen_words import FEW_PIECES, counted
from solver.mechanics.belief import Draws
from solver.mechanics.calibrate import belief_of
from solver.mechanics.chance import crack_chance
from solver.mechanics.evidence import ANY_GROWTH_MM
from solver.mechanics.lessons import Lesson

SURPRISE = 1.5
"""A tray that is less likely than grades and growths by lot, by this much in logarithms."""
MOST_DRAWN_MM = 8.0
_EDGES = (0, 10, 25, 50, 75, 100)


def lessons_of(known: Known) -> Lessons:
    """Return what a kitchen has learned."""
    learned = known.learned
    told = known.told[len(known.told) - len(learned.lessons) :]
    lessons = tuple(
        TrayLesson(
            trial_id=stored.id,
            words=_words(lesson),
            pieces=lesson.pieces,
            foretold_percent=lesson.foretold_percent,
            cracked_percent=lesson.cracked_percent,
            since_percent=lesson.since_percent,
            foretold_growth_mm=lesson.foretold_growth_mm[1] if lesson.foretold_growth_mm else None,
            grew_mm=lesson.grew_mm,
            is_surprising=_surprises(lesson),
        )
        for stored, lesson in zip(told, learned.lessons, strict=True)
    )
    made = Lessons(
        kitchen_id=known.taught.kitchen_id,
        words=_whole_words(known),
        trials=lessons,
        calibration=tuple(_calibration(learned.lessons)),
        tally_share_percent=100 * learned.tally_share,
        left_out=len(known.told) - len(lessons),
        svg="",
    )
    return made.model_copy(update={"svg": draw_learning(_learning(known))})


def _learning(known: Known) -> Learning:
    """Return what the picture shows: the dough baked last, on its form."""
    lessons = known.learned.lessons
    baked = [trial for trial in known.learned.trials if trial.sheets]
    now: tuple[ChanceAt, ...] = ()
    before: tuple[ChanceAt, ...] = ()
    seen: tuple[tuple[float, float], ...] = ()
    if baked:
        last = baked[-1]
        now = tuple(_along(last, belief_of(known.taught).draws))
        before = tuple(_along(last, None))
        alike = [t for t in baked if t.form == last.form and t.formula == last.formula]
        seen = tuple(_cracked(sheet) for trial in alike for sheet in trial.sheets)
    return Learning(
        title="What this kitchen has learned",
        now=now,
        before=before,
        baked=seen,
        chances=tuple(
            Seen(x.foretold_percent, x.cracked_percent, x.pieces)
            for x in lessons
            if x.foretold_percent is not None and x.cracked_percent is not None
        ),
        growths=tuple(
            Seen(x.foretold_growth_mm[1], max(x.grew_mm, 0.0))
            for x in lessons
            if x.foretold_growth_mm is not None and x.grew_mm is not None
        ),
    )


def _along(trial: Trial, draws: Draws | None) -> Iterator[ChanceAt]:
    most = min(trial.target_at(LEAST_THICKNESS_MM).most_thickness_mm, MOST_DRAWN_MM)
    for thickness in np.linspace(LEAST_THICKNESS_MM, most, 12):
        chance = crack_chance(trial.formula, trial.target_at(float(thickness)), draws)
        spread = chance.chance_percent
        yield ChanceAt(float(thickness), spread.value, spread.low, spread.high)


def _cracked(sheet: TrialSheet) -> tuple[float, float]:
    shown = sum(piece.crack_grade >= 2 for piece in sheet.pieces)
    return sheet.thickness_mm, 100 * shown / len(sheet.pieces)


def _surprises(lesson: Lesson) -> bool:
    by_lot = lesson.pieces * math.log(len(CRACK_GRADES))
    if lesson.grew_mm is not None:
        by_lot += math.log(ANY_GROWTH_MM)
    return lesson.surprise > by_lot + SURPRISE


def _words(lesson: Lesson) -> str:
    said = []
    if lesson.foretold_percent is not None and lesson.cracked_percent is not None:
        cracked = round(lesson.cracked_percent * lesson.pieces / 100)
        said.append(
            f"{cracked} of {counted(lesson.pieces, 'piece')} showed a crack, where "
            f"{lesson.foretold_percent:.0f} % was foretold; the same tray is now given "
            f"{lesson.since_percent:.0f} %."
        )
    if lesson.grew_mm is not None and lesson.foretold_growth_mm is not None:
        low, middle, high = lesson.foretold_growth_mm
        flows = "as foretold"
        if not low <= lesson.grew_mm <= high:
            flows = "more than foretold" if lesson.grew_mm > high else "less than foretold"
        said.append(f"The round grew {lesson.grew_mm:.1f} mm, {flows} ({middle:.1f} mm).")
    if _surprises(lesson):
        said.append("That is unlike the other trays; look whether it was told right.")
    return " ".join(said) or "It told how the dough was shaped."


def _whole_words(known: Known) -> str:
    taught = known.taught
    if not taught.trials:
        return "Nothing was baked in this kitchen yet."
    said = (
        f"{counted(taught.trials, 'tray')}, {counted(taught.pieces, 'piece')} and "
        f"{counted(taught.rounds, 'round')}."
    )
    if taught.pieces < FEW_PIECES:
        return f"{said} So few prove little: one good piece proves next to nothing."
    better = "a plain tally" if taught.tally_share > 0.5 else "the mechanics of the sheet"
    return f"{said} Cracks here have followed {better} best."


def _calibration(lessons: tuple[Lesson, ...]) -> Iterator[Calibrated]:
    for low, high in pairwise(_EDGES):
        within = [
            lesson
            for lesson in lessons
            if lesson.foretold_percent is not None
            and low <= lesson.foretold_percent < high + (high == 100)
        ]
        pieces = sum(lesson.pieces for lesson in within)
        if pieces:
            yield Calibrated(
                from_percent=low,
                to_percent=high,
                pieces=pieces,
                foretold_percent=_mean((x.pieces, x.foretold_percent) for x in within),
                cracked_percent=_mean((x.pieces, x.cracked_percent) for x in within),
            )


def _mean(weighted: Iterable[tuple[int, float | None]]) -> float:
    """Return the mean of percentages by pieces; rounding never carries it past 100."""
    known = [(pieces, percent) for pieces, percent in weighted if percent is not None]
    total = sum(pieces * percent for pieces, percent in known)
    return min(total / sum(pieces for pieces, _ in known), 100.0)
